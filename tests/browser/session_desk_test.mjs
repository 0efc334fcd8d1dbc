// The experimenter's desk beside a session.
import assert from "node:assert/strict";
import {after, afterEach, before, beforeEach, test} from "node:test";

import {Hall, kDesk, until} from "./seats.mjs";

const hall = new Hall();
before(() => hall.open());
beforeEach(() => hall.enter());
after(() => hall.close());
afterEach(() => hall.leave());

// The program has no session without a screen: these hold the page against the mock only.
function session_test(name, body) {
    test(name, async (context) => {
        const {mock} = hall.back_end;
        if (!mock) return context.skip("there is no session beside this lecture");
        const desk = await hall.seat(hall.back_end.session_desk, kDesk);
        await desk.page.getByRole("heading", {name: "Matching across two screens"}).waitFor();
        return body(desk, mock);
    });
}

const button = (desk, name) => desk.page.getByRole("button", {name});

session_test("progress, time and settings follow the session", async (desk, mock) => {
    await desk.sees("No setting yet.");
    await desk.sees("0 of 60 trials done");
    mock.session.add_settings(24);
    mock.publish();
    await desk.sees("24 of 60 trials done");
    await desk.sees("34:48");
    assert.equal(await desk.page.getByRole("progressbar").evaluate((bar) => bar.value / bar.max), 24 / 60);
    await desk.page.getByText("The same in numbers").click();
    assert.equal(await desk.page.locator("tbody tr").count(), 24);
    const {trial, contrast_percent, distance_percent} = mock.session.settings.at(-1);
    const newest = (await desk.page.locator("tbody tr").first().innerText()).split("\t").map((text) => text.trim());
    assert.deepEqual([newest[0], ...newest.slice(2, 6)], [String(trial), ...[...contrast_percent, distance_percent].map((value) => value.toFixed(2))]);
});

session_test("the chart shows L, M and S, or the distance, of one condition or all; without hue", async (desk, mock) => {
    mock.session.add_settings(9);
    mock.publish();
    const label = () => desk.page.getByRole("img").getAttribute("aria-label");
    const last = mock.session.settings.at(-1);
    await until(async () => (await label()).endsWith(`L ${last.contrast_percent[0].toFixed(2)} %, M ${last.contrast_percent[1].toFixed(2)} %, S ${last.contrast_percent[2].toFixed(2)} %`), "L, M, S are said");
    await desk.page.getByLabel("Distance").check();
    await until(async () => (await label()).endsWith(`distance ${last.distance_percent.toFixed(2)} %`), "the distance is said");
    await desk.page.getByLabel("Condition").selectOption("bright_surround");
    const bright = mock.session.settings.findLast(({condition}) => condition === "bright_surround");
    await until(async () => (await label()).endsWith(`distance ${bright.distance_percent.toFixed(2)} %`), "the condition counts");
    const coloured = await desk.page.locator("canvas").evaluate((canvas) => {
        const {data} = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
        return data.some((_, i) => i % 4 === 0 && data[i + 3] > 0 && Math.max(data[i], data[i + 1], data[i + 2]) - Math.min(data[i], data[i + 1], data[i + 2]) > 2);
    });
    assert.equal(coloured, false);
});

session_test("pause and go on", async (desk, mock) => {
    await button(desk, "Pause").click();
    await desk.page.getByRole("status").getByText("Paused").waitFor();
    assert.equal(mock.session.state, "paused");
    await button(desk, "Go on").click();
    await desk.page.getByRole("status").getByText("In a trial").waitFor();
    assert.equal(mock.session.state, "trial");
});

session_test("a note is kept, says what it must not hold, and is not lost when the program does not take it", async (desk, mock) => {
    const note = desk.page.getByLabel("Note", {exact: true});
    await desk.sees("write nothing that identifies a person");
    assert.equal(await note.getAttribute("maxlength"), "500");
    await button(desk, "Keep the note").click();
    await desk.sees("write the note first");
    await note.fill("Lamp flickered at trial 3");
    await button(desk, "Keep the note").click();
    await desk.sees("Notes in the record: 1");
    await desk.sees("Kept.");
    assert.deepEqual(mock.session.notes, ["Lamp flickered at trial 3"]);
    assert.equal(await note.inputValue(), "");
    await desk.set_offline(true);
    await note.fill("Second note");
    await button(desk, "Keep the note").click();
    await desk.sees("it still stands here");
    assert.equal(await note.inputValue(), "Second note");
    await desk.set_offline(false);
    await until(async () => (await desk.page.locator("#banner").textContent()) === "", "the connection is back");
});

session_test("the end is asked for twice", async (desk, mock) => {
    await button(desk, "End the session …").click();
    await button(desk, "Go on").click();
    assert.equal(mock.session.ended, false);
    await button(desk, "End the session …").click();
    await button(desk, "End it").click();
    await desk.page.getByRole("status").getByText("The session has ended").waitFor();
    assert.ok(await button(desk, "Pause").isDisabled());
});

session_test("calibrations tell their days, and demonstrations what they are", async (desk) => {
    await desk.sees("left_screen: valid for 12 more days");
    await desk.sees("right_screen: invented, for demonstrations only");
});
