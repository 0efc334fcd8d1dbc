// Students' telephones: joining, following, answering.
import assert from "node:assert/strict";
import {after, afterEach, before, beforeEach, test} from "node:test";

import {kScenes} from "./lecture_scenes.mjs";
import {Hall, until} from "./seats.mjs";

const hall = new Hall();
before(() => hall.open());
beforeEach(() => hall.enter());
after(() => hall.close());
afterEach(() => hall.leave());

const scene = (kind) => kScenes.find((known) => known.kind === kind);
const counts = async () => (await hall.desk_line.state()).answers.choices.map(({count}) => count);
const medians = async () => (await hall.desk_line.state()).answers.sliders.map(({median}) => Math.round(median * 100));

async function people_at_the_desk(change) {
    const before_ = (await hall.desk_line.state()).people.joined;
    await change();
    // A person counts as soon as the stream is open.
    return until(async () => (await hall.desk_line.state()).people.joined - before_, "somebody takes part");
}

test("a code that is typed in small letters and with a space lets a telephone in", async () => {
    const phone = await hall.phone();
    await phone.page.getByLabel("Room code").fill(` ${hall.back_end.room.slice(0, 3).toLowerCase()} ${hall.back_end.room.slice(3).toLowerCase()} `);
    const joined = await people_at_the_desk(async () => {
        await phone.page.getByRole("button", {name: "Join"}).tap();
        await phone.page.locator("form").waitFor({state: "detached"});
    });
    assert.equal(joined, 1);
});

test("a wrong code is told in words, aloud too, and the field has the focus", async () => {
    const phone = await hall.phone();
    await phone.page.getByLabel("Room code").fill("000000");
    await phone.page.getByRole("button", {name: "Join"}).tap();
    await phone.page.getByRole("alert").getByText("There is no room with this code").waitFor();
    assert.equal(await phone.page.evaluate(() => document.activeElement.id), "code");
    assert.equal(await phone.page.locator("#code").getAttribute("aria-invalid"), "true");
    await phone.page.getByLabel("Room code").fill("  ");
    await phone.page.getByRole("button", {name: "Join"}).tap();
    await phone.sees("Please enter the room code");
    await phone.page.getByLabel("Room code").fill(hall.back_end.room);
    await phone.page.keyboard.press("Enter");
    await phone.page.locator("form").waitFor({state: "detached"});
});

test("the picture code's link fills the code in, and one tap joins; a page that is loaded again keeps its person", async () => {
    const phone = await hall.phone({}, `?room=${hall.back_end.room}`);
    assert.equal(await until(() => phone.page.locator("#code").inputValue(), "the code is filled in"), hall.back_end.room);
    assert.equal(await people_at_the_desk(async () => {
        await phone.page.getByRole("button", {name: "Join"}).tap();
        await phone.page.locator("form").waitFor({state: "detached"});
        await phone.page.reload();
        await phone.page.locator("h1").waitFor();
    }), 1);
    assert.equal(await phone.page.locator("form").count(), 0);
});

test("a vote arrives, a changed vote takes its place, and the own choice is marked by words", async () => {
    await hall.desk_line.go("question");
    const phone = await hall.student();
    await phone.sees("No answer from you yet.");
    const choice = (i) => phone.page.locator("label.choice").nth(i);
    await choice(0).tap();
    await phone.sees("Your answer has arrived.");
    await until(async () => (await counts())[0] === 1, "the first vote counts");
    assert.match(await choice(0).textContent(), /Your choice$/);
    await choice(1).tap();
    await until(async () => (await counts()).join() === "0,1,0", "the second vote replaces it");
    assert.match(await choice(1).textContent(), /Your choice$/);
    assert.doesNotMatch(await choice(0).textContent(), /Your choice/);
    // The arrow keys of a keyboard do the same.
    await phone.page.locator("label.choice input").nth(1).focus();
    await phone.page.keyboard.press("ArrowDown");
    await until(async () => (await counts()).join() === "0,0,1", "the key changes the vote");
    await phone.page.reload();
    await until(() => phone.page.locator("label.choice input").nth(2).isChecked(), "the vote is there again after loading");
});

test("closed answers can be seen but not changed, and opened again they can", async () => {
    await hall.desk_line.go("question");
    const phone = await hall.student();
    await phone.page.locator("label.choice").first().tap();
    await phone.sees("has arrived");
    await hall.desk_line.command({do: "close"});
    await phone.sees("No more answers are taken.");
    assert.ok(await phone.page.locator("label.choice input").first().isDisabled());
    assert.ok(await phone.page.locator("label.choice input").first().isChecked());
    const late = await hall.student();
    await late.sees("No answers are taken at the moment.");
    await hall.desk_line.command({do: "open"});
    await phone.sees("You can still change it.");
    assert.ok(await phone.page.locator("label.choice input").first().isEnabled());
});

test("going back to a scene shows what was answered there", async () => {
    const number = await hall.desk_line.go("question");
    const phone = await hall.student();
    await phone.page.locator("label.choice").nth(1).tap();
    await phone.sees("has arrived");
    await hall.desk_line.go("card");
    await phone.sees(scene("card").text.en[0]);
    await hall.desk_line.command({do: "go", scene: number});
    await until(() => phone.page.locator("label.choice input").nth(1).isChecked(), "the own choice is back");
    // Also where the page was loaded in the meantime, and knows only what the program tells it.
    await hall.desk_line.go("reveal");
    await phone.sees(scene("reveal").text.en[0]);
    await phone.page.reload();
    await phone.sees(scene("reveal").text.en[0]);
    await hall.desk_line.command({do: "go", scene: number});
    await until(() => phone.page.locator("label.choice input").nth(1).isChecked(), "the own choice is asked for");
});

test("whoever comes late sees the scene that stands now", async () => {
    for (const kind of ["card", "field", "question", "slider", "steer", "reveal"]) {
        await hall.desk_line.go(kind);
        const phone = await hall.student();
        await phone.sees(scene(kind).heading.en || scene(kind).ask?.en || scene(kind).sliders?.[0].ask.en);
        await phone.context.close();
    }
});

test("a new scene takes the focus to its heading, so that it is read out", async () => {
    await hall.desk_line.go("card");
    const phone = await hall.student();
    await phone.sees(scene("card").heading.en);
    await hall.desk_line.go("question");
    await phone.sees(scene("question").ask.en);  // scenes follow each other with a pause
    await until(() => phone.page.evaluate(() => document.activeElement === document.querySelector("h1")), "the heading has the focus");
    assert.equal(await phone.heading(), scene("question").ask.en);
    assert.match(await phone.page.title(), /^The two halves look the same/);
});

test("steering: finger, buttons and keys move the class's median; the value is said in words", async () => {
    await hall.desk_line.go("steer");
    const first = await hall.student();
    const second = await hall.student();
    const mixture = first.page.getByLabel("Mixture");
    const box = await mixture.boundingBox();
    await first.page.touchscreen.tap(box.x + box.width * 0.75, box.y + box.height / 2);
    const tapped = Math.round(Number(await mixture.inputValue()) * 100);
    assert.ok(Math.abs(tapped - 75) < 8, `tapped to ${tapped}`);
    await until(async () => (await medians())[0] === tapped, "the tap arrives");
    await first.page.locator(".step").nth(1).tap();
    await until(async () => (await medians())[0] === tapped + 1, "the button makes one step");
    assert.equal(await mixture.getAttribute("aria-valuetext"), `${tapped + 1} of 100`);
    await second.page.getByLabel("Mixture").focus();
    await second.page.keyboard.press("ArrowRight");
    await until(async () => (await medians())[0] === Math.round((tapped + 1 + 21) / 2), "the median of two");
    assert.equal((await medians())[1], 50);
});

test("a slider's start is an answer only when somebody says so", async () => {
    await hall.desk_line.go("slider");
    const phone = await hall.student();
    await phone.sees("No answer from you yet.");
    assert.equal((await hall.desk_line.state()).answers.count, 0);
    await phone.page.getByRole("button", {name: "As it stands now"}).tap();
    await phone.sees("has arrived");
    assert.equal((await hall.desk_line.state()).answers.count, 1);
    assert.equal(await phone.page.getByRole("button", {name: "As it stands now"}).count(), 0);
});

test("a slider that is swept sends a few answers a second and the last one for certain", async (context) => {
    const {mock} = hall.back_end;
    if (!mock) return context.skip("counts the requests, which only the mock can");
    await hall.desk_line.go("slider");
    const phone = await hall.student();
    const before_ = mock.answers_received;
    const begun_ms = Date.now();
    await phone.page.evaluate(async () => {
        const input = document.querySelector("input[type=range]");
        for (let i = 1; i <= 60; ++i) {
            input.value = String(0.3 + i / 100);
            input.dispatchEvent(new Event("input", {bubbles: true}));
            await new Promise((done) => setTimeout(done, 15));
        }
    });
    await until(async () => (await medians())[0] === 90, "the last position arrives");
    const most = 2 + (Date.now() - begun_ms) / 200;
    assert.ok(mock.answers_received - before_ <= most, `${mock.answers_received - before_} requests, at most ${most} are due`);
});

test("German: the browser's language is taken where the lecture has it, and can be changed", async () => {
    await hall.desk_line.go("question");
    const phone = await hall.student({locale: "de-AT"});
    assert.equal(await phone.page.getAttribute("html", "lang"), "de");
    await phone.sees(scene("question").choices[1].de);
    await phone.page.locator("label.choice").nth(1).tap();
    await phone.sees("Ihre Antwort ist angekommen.");
    await phone.page.getByLabel("Sprache").focus();
    await phone.page.getByLabel("Sprache").selectOption("en");
    await phone.sees(scene("question").choices[1].en);
    assert.equal(await phone.page.getAttribute("html", "lang"), "en");
    assert.equal(await phone.page.evaluate(() => document.activeElement.id), "language");
    await until(() => phone.page.locator("label.choice input").nth(1).isChecked(), "the choice outlives the language");
    await phone.page.reload();
    await phone.sees(scene("question").choices[1].en);
    const other = await hall.phone({locale: "fi-FI"});
    await other.sees("Join the lecture");
});

test("texts from the program are text, whatever they hold", async (context) => {
    const {mock} = hall.back_end;
    if (!mock) return context.skip("needs the mock's freedom with texts");
    const phone = await hall.student();
    const hostile = "<img src=x onerror=alert(1)> & <b>bold</b>";
    const state = mock.lecture.phone_state.bind(mock.lecture);
    mock.lecture.phone_state = (language) => ({...state(language), scene: 99, kind: "question", heading: hostile, ask: hostile, choices: [hostile], text: [hostile]});
    mock.publish();
    await phone.sees("onerror");
    assert.equal(await phone.page.locator("main img, main b").count(), 0);
    assert.equal(await phone.heading(), hostile);
});
