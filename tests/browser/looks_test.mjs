// Every page and state as people with other eyes, hands and telephones meet it.
import assert from "node:assert/strict";
import {after, afterEach, before, beforeEach, test} from "node:test";

import {Hall, kDesk, kNarrow, kPhone} from "./seats.mjs";

// WCAG 2.2, success criterion 2.5.5 (level AAA); from memory.
const kTarget_px = 44;

const hall = new Hall();
before(() => hall.open());
beforeEach(() => hall.enter());
after(() => hall.close());
afterEach(() => hall.leave());

async function look(seat, state, {targets = true} = {}) {
    await seat.audit(state);
    if (targets) assert.deepEqual(await seat.small_targets(kTarget_px), [], `${state}: small targets`);
    assert.equal(await seat.sideways_px(), 0, `${state}: scrolls sideways`);
}

async function through_all_phone_states(options, check) {
    const phone = await hall.phone(options, `?room=${hall.back_end.room}`);
    await phone.page.locator("#code").waitFor();
    await check(phone, "join");
    await phone.page.locator("#code").fill("ZZZZZZ");
    await phone.page.locator("form button").tap();
    await phone.page.locator("#problem:not(:empty)").waitFor();
    await check(phone, "wrong code");
    await phone.page.locator("#code").fill(hall.back_end.room);
    await phone.page.locator("form button").tap();
    await phone.page.locator("form").waitFor({state: "detached"});
    await check(phone, "wait");
    for (const kind of ["card", "field", "question", "slider", "steer", "reveal"]) {
        const before_ = await phone.heading();
        await hall.desk_line.go(kind);
        await phone.page.locator(`h1:not(:text-is(${JSON.stringify(before_)}))`).waitFor();
        await check(phone, kind);
        if (kind === "question") {
            await phone.page.locator("label.choice").nth(1).tap();
            await phone.page.locator(".choice_mark:not(:empty)").waitFor();
            await check(phone, "question, answered");
            await hall.desk_line.command({do: "close"});
            await phone.page.locator("fieldset:disabled").waitFor();
            await check(phone, "question, closed");
        }
        if (kind === "slider") {
            await phone.set_offline(true);
            await phone.page.locator("#banner:not(:empty)").waitFor();
            await phone.page.locator(".step").nth(1).tap();
            await check(phone, "slider, without a connection");
            await phone.set_offline(false);
            await phone.page.locator("#banner:empty").waitFor({state: "attached"});
        }
    }
    await hall.desk_line.command({do: "end"});
    await phone.page.waitForTimeout(400);
    await check(phone, "end");
}

for (const colorScheme of ["light", "dark"]) {
    test(`telephone, ${colorScheme}: no finding, targets that a thumb hits, nothing sideways`, () =>
        through_all_phone_states({...kPhone, colorScheme}, look));
}

test("telephone of 320 px, German, and with letters of twice the size: nothing sideways", () =>
    through_all_phone_states({...kNarrow, locale: "de-DE"}, async (phone, state) => {
        await look(phone, state);
        await phone.page.evaluate(() => {
            document.documentElement.style.fontSize = "38px";
        });
        assert.equal(await phone.sideways_px(), 0, `${state}, twice as large: scrolls sideways`);
        await phone.page.evaluate(() => {
            document.documentElement.style.fontSize = "";
        });
    }));

test("without colours of its own (forced colours) a telephone still passes", () =>
    through_all_phone_states({...kPhone, forcedColors: "active"}, (phone, state) => phone.audit(state)));

for (const colorScheme of ["light", "dark"]) {
    test(`desk of a lecture, ${colorScheme}: no finding in any scene`, async () => {
        const desk = await hall.desk({colorScheme});
        await desk.page.locator(".code").waitFor();
        await look(desk, "before");
        const phone = await hall.student();
        for (const kind of ["card", "question", "slider", "steer"]) {
            await hall.desk_line.go(kind);
            await desk.page.locator(".scenes [aria-current]", {hasText: {card: "Card", question: "Question", slider: "Slider", steer: "Steering"}[kind]}).waitFor();
            if (kind === "question") await phone.page.locator("label.choice").first().tap();
            if (kind === "slider" || kind === "steer") await phone.page.locator(".step").first().tap();
            for (const numbers of await desk.page.locator("summary").all()) await numbers.click();
            await look(desk, kind);
        }
        await desk.page.getByText("End the lecture …").click();
        await look(desk, "end asked");
        await desk.page.getByText("End it").click();
        await desk.sees("The lecture has ended");
        await look(desk, "ended");
    });

    test(`desk of a session, ${colorScheme}: no finding`, async (context) => {
        const {mock} = hall.back_end;
        if (!mock) return context.skip("there is no session beside this lecture");
        const desk = await hall.seat(hall.back_end.session_desk, {...kDesk, colorScheme});
        await desk.page.locator("progress").waitFor();
        await look(desk, "begun");
        mock.session.add_settings(24);
        mock.session.warnings = ["The left screen has warmed up for 4 minutes only."];
        mock.publish();
        await desk.page.getByText("The same in numbers").click();
        await desk.page.getByRole("button", {name: "Pause"}).click();
        await desk.page.getByRole("button", {name: "Go on"}).waitFor();
        await look(desk, "paused, with settings");
    });
}

test("both desks on a small window: nothing sideways", async () => {
    const narrow = {viewport: {width: 640, height: 800}};
    for (const address of [hall.back_end.desk, hall.back_end.session_desk].filter(Boolean)) {
        const desk = await hall.seat(address, narrow);
        await desk.page.locator("main button").first().waitFor({state: "attached"}).catch(() => {});
        hall.back_end.mock?.session.add_settings(8);
        hall.back_end.mock?.publish();
        await desk.page.waitForTimeout(300);
        assert.equal(await desk.sideways_px(), 0, address);
    }
});
