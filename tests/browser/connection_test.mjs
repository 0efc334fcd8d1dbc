// Telephones and desks that lose the program, and find it again.
import assert from "node:assert/strict";
import {after, afterEach, before, beforeEach, test} from "node:test";

import {kScenes} from "./lecture_scenes.mjs";
import {Hall, until} from "./seats.mjs";

const hall = new Hall();
before(() => hall.open());
beforeEach(() => hall.enter());
after(() => hall.close());
afterEach(() => hall.leave());

const kLost = "No connection.";
const counts = async () => (await hall.desk_line.state()).answers.choices.map(({count}) => count).join();
const banner_is_empty = (seat) => until(async () => (await seat.page.locator("#banner").textContent()) === "", "the banner is gone");

test("an answer that is given without a connection is kept and delivered when it is back", async () => {
    await hall.desk_line.go("question");
    const phone = await hall.student();
    await phone.set_offline(true);
    await phone.sees(kLost);
    await phone.page.locator("label.choice").nth(0).tap();
    await phone.sees("Your answer is kept");
    await phone.page.locator("label.choice").nth(2).tap();
    assert.equal(await counts(), "0,0,0");
    await phone.set_offline(false);
    await phone.sees("Your answer has arrived.");
    await banner_is_empty(phone);
    assert.equal(await counts(), "0,0,1");
});

test("a telephone that was away while the scene changed comes back to the new one, and is told that its answer was too late", async () => {
    const number = await hall.desk_line.go("question");
    const phone = await hall.student();
    await phone.set_offline(true);
    await phone.sees(kLost);
    await phone.page.locator("label.choice").nth(1).tap();
    await phone.sees("Your answer is kept");
    await hall.desk_line.go("slider");
    // Before the question is open again.
    const too_late = phone.replies("/answer", 409);
    await phone.set_offline(false);
    await too_late;
    await phone.sees(kScenes.find(({kind}) => kind === "slider").sliders[0].ask.en);
    await hall.desk_line.command({do: "go", scene: number});
    await phone.sees("No more answers were taken when your last one arrived.");
    assert.equal(await phone.page.locator("label.choice input:checked").count(), 0);
});

test("a stream that breaks is opened again without a word", async (context) => {
    const {mock} = hall.back_end;
    if (!mock) return context.skip("breaks the streams, which only the mock can");
    await hall.desk_line.go("card");
    const phone = await hall.student();
    const desk = await hall.desk();
    phone.breaks = desk.breaks = true;
    mock.drop_streams();
    await hall.desk_line.go("question");
    await phone.page.locator("label.choice").first().waitFor();
    await desk.page.getByRole("heading", {name: "Scene 3 of 6"}).waitFor();
    await phone.page.locator("label.choice").first().tap();
    await phone.sees("has arrived");
});

test("a stream that takes long to open is waited for, and answers flow again", async (context) => {
    const {mock} = hall.back_end;
    if (!mock) return context.skip("delays the streams, which only the mock can");
    await hall.desk_line.go("question");
    const phone = await hall.student();
    phone.breaks = true;
    mock.stream_delay_ms = 2500;
    mock.drop_streams();
    await phone.sees(kLost);
    mock.stream_delay_ms = 0;
    await phone.page.locator("label.choice").first().tap();
    await banner_is_empty(phone);
    await phone.sees("has arrived");
    await phone.page.locator("label.choice").nth(1).tap();
    await until(async () => (await counts()) === "0,1,0", "the second answer arrives too");
});

test("a busy program gets the answer again later; what it refuses is told", async (context) => {
    const {mock} = hall.back_end;
    if (!mock) return context.skip("answers 429 and 503 at will, which only the mock can");
    await hall.desk_line.go("question");
    const phone = await hall.student();
    mock.answer_faults = [429, 503];
    await phone.page.locator("label.choice").nth(1).tap();
    await until(async () => (await counts()) === "0,1,0", "the third attempt arrives");
    await phone.sees("has arrived");
    mock.answer_faults = [409];
    await phone.page.locator("label.choice").nth(2).tap();
    await phone.sees("No more answers were taken when your last one arrived.");
    // What counts is what arrived.
    assert.ok(await phone.page.locator("label.choice input").nth(1).isChecked());
});

test("a room that is gone is told, with the way into the new one", async (context) => {
    const {mock} = hall.back_end;
    if (!mock) return context.skip("closes the room, which only the mock can");
    const phone = await hall.student();
    phone.breaks = true;
    mock.begin_anew();
    await phone.sees("This room is closed");
    assert.equal(await phone.page.locator("#code").inputValue(), "");
    await phone.page.locator("#code").fill(mock.lecture.room);
    await phone.page.locator("form button").tap();
    await phone.sees("You are in");
    mock.lecture.full = true;
    const late = await hall.phone({}, `?room=${mock.lecture.room}`);
    await late.page.locator("form button").tap();
    await late.sees("no free place");
    mock.lecture.full = false;
    await late.page.locator("form button").tap();
    await late.sees("You are in");
});

test("a desk without a connection says so, does nothing, and comes back", async () => {
    await hall.desk_line.go("card");
    const desk = await hall.desk();
    await desk.page.getByRole("button", {name: "Next"}).waitFor();
    await desk.set_offline(true);
    await desk.sees("No connection to the program.");
    await desk.page.getByRole("button", {name: "Next"}).click();
    await desk.sees("nothing was done");
    assert.equal((await hall.desk_line.state()).scene, 1);
    await desk.set_offline(false);
    await banner_is_empty(desk);
    await desk.page.getByRole("button", {name: "Next"}).click();
    await until(async () => (await hall.desk_line.state()).scene === 2, "the desk leads again");
});

test("a desk whose program was begun anew says so, and asks no more", async (context) => {
    const {mock} = hall.back_end;
    if (!mock) return context.skip("takes the desk's address away, which only the mock can");
    const desk = await hall.desk();
    await desk.page.getByRole("button", {name: "Next"}).waitFor();
    desk.breaks = true;
    mock.forget_desk();
    await desk.page.getByRole("alert").getByText("This desk is closed").waitFor();
    assert.equal(await desk.page.locator("#banner").textContent(), "");
});

test("the end reaches every telephone, and none asks for anything any more", async () => {
    const phone = await hall.student();
    await hall.desk_line.command({do: "end"});
    await phone.sees("Thank you for taking part.");
    const asked = [];
    phone.page.on("request", (request) => asked.push(request.url()));
    hall.back_end.mock?.drop_streams();
    await new Promise((done) => setTimeout(done, 1500));
    assert.deepEqual(asked, []);
    assert.equal(await phone.page.locator("#banner").textContent(), "");
});
