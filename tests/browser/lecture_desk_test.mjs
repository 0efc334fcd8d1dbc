// The lecturer's desk.
import assert from "node:assert/strict";
import {after, afterEach, before, beforeEach, test} from "node:test";

import {kScenes, kTitle} from "./lecture_scenes.mjs";
import {Hall, kDesk, until} from "./seats.mjs";

const hall = new Hall();
before(() => hall.open());
beforeEach(() => hall.enter());
after(() => hall.close());
afterEach(() => hall.leave());

const at = async () => (await hall.desk_line.state()).scene;
const is_at = (scene) => until(async () => (await at()) === scene, `scene ${scene} is shown`);
const button = (desk, name) => desk.page.getByRole("button", {name});

// How much of a chart is ink: what is not drawn has none.
function ink(desk, i = 0) {
    return desk.page.locator("canvas").nth(i).evaluate((canvas) => {
        const {data} = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
        let inked = 0;
        let coloured = 0;
        for (let at_ = 0; at_ < data.length; at_ += 4) {
            if (data[at_ + 3] === 0) continue;
            ++inked;
            if (Math.max(data[at_], data[at_ + 1], data[at_ + 2]) - Math.min(data[at_], data[at_ + 1], data[at_ + 2]) > 2) ++coloured;
        }
        return {inked, coloured};
    });
}

test("scenes, room and people stand on the desk, and its buttons lead", async () => {
    const desk = await hall.desk();
    await desk.page.getByRole("heading", {name: kTitle.en, exact: true}).waitFor();
    assert.equal((await desk.page.locator(".code").textContent()).replace(" ", ""), hall.back_end.room);
    assert.match(await desk.page.locator(".address").textContent(), /^http:\/\/[\d.]+:\d+\/$/);
    assert.equal(await desk.page.locator(".scenes li").count(), kScenes.length);
    await desk.page.locator(".scenes button").nth(1).click();
    await is_at(2);
    await desk.page.locator(".scenes button[aria-current=step]", {hasText: "Two lamps"}).waitFor();
    await button(desk, "Next").click();
    await is_at(3);
    await button(desk, "Back").click();
    await is_at(2);
    await hall.student();
    await until(async () => /Joined\s*1/.test(await desk.page.locator(".room").innerText()), "the student is counted");
});

test("keys lead; one that is held does not run away", async () => {
    const desk = await hall.desk();
    await button(desk, "Next").waitFor();
    await desk.page.keyboard.press("ArrowRight");
    await is_at(1);
    // A press that comes before the answer to the last one counts for nothing.
    const followed = () => until(async () => button(desk, "Next").isEnabled(), "the desk has followed");
    await followed();
    await desk.page.keyboard.press("PageDown");
    await is_at(2);
    await followed();
    await desk.page.keyboard.press("PageUp");
    await is_at(1);
    await followed();
    await desk.page.keyboard.down("ArrowRight");
    for (let i = 0; i < 5; ++i) await desk.page.keyboard.down("ArrowRight");
    await desk.page.keyboard.up("ArrowRight");
    await is_at(2);
    await new Promise((done) => setTimeout(done, 300));
    assert.equal(await at(), 2);
});

test("votes appear as bars, and as the same numbers in a table", async () => {
    await hall.desk_line.go("question");
    const desk = await hall.desk();
    await desk.sees("0 of 0 people have answered.");
    for (const choice of [1, 1, 2]) {
        const phone = await hall.student();
        await phone.page.locator("label.choice").nth(choice).tap();
        await phone.sees("has arrived");
    }
    await desk.sees("3 of 3 people have answered.");
    await desk.page.getByText("The same in numbers").click();
    const rows = await desk.page.locator("tbody tr").allInnerTexts();
    assert.deepEqual(rows.map((row) => row.split("\t").slice(1)), [["0", "0 %"], ["2", "67 %"], ["1", "33 %"]]);
    await desk.sees("Let them argue with a neighbour");
    assert.match(await desk.page.getByRole("img").getAttribute("aria-label"), /L, M and S cones alike \(right\): 2/);
    const {inked, coloured} = await ink(desk);
    assert.ok(inked > 1000, `${inked} pixels are drawn`);
    assert.equal(coloured, 0);
    await button(desk, "Close answers").click();
    await desk.sees("Answers are closed.");
    await button(desk, "Open answers").click();
    await desk.sees("Answers are open.");
    await button(desk, "Show on the projector").click();
    await until(async () => (await hall.desk_line.state()).answers_shown, "the projector shows the answers");
    await button(desk, "Hide on the projector").click();
    await until(async () => !(await hall.desk_line.state()).answers_shown, "the projector hides them");
});

test("sliders appear as histograms with their median", async () => {
    await hall.desk_line.go("steer");
    const desk = await hall.desk();
    const phone = await hall.student();
    await phone.page.locator(".step").nth(1).tap();
    await phone.sees("has arrived");
    await until(async () => /median 21/.test(await desk.page.getByRole("img").first().getAttribute("aria-label")), "the median is said");
    assert.match(await desk.page.getByRole("img").nth(1).getAttribute("aria-label"), /median 50/);
    for (const i of [0, 1]) {
        const {inked, coloured} = await ink(desk, i);
        assert.ok(inked > 1000, `${inked} pixels are drawn`);
        assert.equal(coloured, 0);
    }
    await desk.page.getByText("The same in numbers").first().click();
    await desk.page.getByRole("row", {name: "20 – 25 1"}).first().waitFor();
    await desk.sees("the class steers the field");
});

test("a closed door lets nobody new in, and an emptied room has to be joined again", async () => {
    const desk = await hall.desk();
    const inside = await hall.student();
    await button(desk, "Close the door").click();
    await desk.sees("The door is closed. Nobody new can join.");
    const outside = await hall.phone({}, `?room=${hall.back_end.room}`);
    await outside.page.getByRole("button", {name: "Join"}).tap();
    await outside.sees("The door is closed.");
    await desk.page.getByText("Turned away").waitFor();
    await inside.page.reload();
    await inside.sees("You are in.");
    await button(desk, "Open the door").click();
    await desk.sees("The door is open.");
    await outside.page.getByRole("button", {name: "Join"}).tap();
    await outside.sees("You are in.");
    await button(desk, "Empty the room …").click();
    await button(desk, "Go on").click();
    await until(async () => (await hall.desk_line.state()).people.joined === 2, "nobody was sent away by one press");
    await button(desk, "Empty the room …").click();
    await desk.page.getByRole("button", {name: "Empty the room", exact: true}).click();
    for (const seat of [inside, outside]) await seat.sees("This room is closed");
    await until(async () => (await hall.desk_line.state()).people.joined === 0, "the room is empty");
});

test("the end is asked for twice", async () => {
    const desk = await hall.desk();
    await button(desk, "End the lecture …").click();
    await button(desk, "Go on").click();
    // While it asks, keys do not lead.
    await button(desk, "End the lecture …").click();
    await desk.page.keyboard.press("ArrowRight");
    await desk.page.keyboard.press("Escape");
    assert.deepEqual([(await hall.desk_line.state()).ended, await at()], [false, 0]);
    await button(desk, "End the lecture …").click();
    assert.equal(await desk.page.evaluate(() => document.activeElement.textContent), "Go on");
    const phone = await hall.student();
    await button(desk, "End it").click();
    await desk.page.getByRole("heading", {name: "The lecture has ended"}).waitFor();
    await phone.sees("Thank you for taking part.");
    for (const name of ["Next", "End the lecture …"]) assert.ok(await button(desk, name).isDisabled());
});

test("a wrong address of a desk shows nothing", async () => {
    const reply = await fetch(`${hall.back_end.desk.slice(0, -4)}AAAA`);
    assert.equal(reply.status, 404);
    assert.ok(!(await reply.text()).includes(hall.back_end.room));
});

test("warnings are told", async (context) => {
    const {mock} = hall.back_end;
    if (!mock) return context.skip("invents a warning, which only the mock can");
    const desk = await hall.desk(kDesk);
    await button(desk, "Next").waitFor();
    assert.equal(await desk.page.getByRole("heading", {name: "Warnings"}).count(), 0);
    mock.lecture.warnings = ["The projector was unplugged."];
    mock.publish();
    await desk.page.getByRole("status").getByText("The projector was unplugged.").waitFor();
});
