// Pictures of every page and state, to be looked at: node pictures.mjs [FOLDER]
import {mkdirSync} from "node:fs";

import {Hall, kDesk, kPhone} from "./seats.mjs";

const folder = process.argv[2] ?? new URL("pictures", import.meta.url).pathname;
mkdirSync(folder, {recursive: true});
const hall = new Hall();
await hall.open();
const {mock} = hall.back_end;
const line = hall.desk_line;

async function picture(seat, name) {
    await new Promise((done) => setTimeout(done, 350));
    await seat.page.screenshot({path: `${folder}/${name}.png`});
}

async function phone_pictures(name, options) {
    mock.begin_anew();
    const seat = await hall.phone({...kPhone, ...options}, `?room=${mock.lecture.room}`);
    await seat.page.locator("#code").waitFor();
    await picture(seat, `${name}_join`);
    await seat.page.locator("#code").fill("XXXXXX");
    await seat.page.locator("form button").tap();
    await seat.page.locator("#problem:not(:empty)").waitFor();
    await picture(seat, `${name}_join_wrong`);
    await seat.page.locator("#code").fill(mock.lecture.room);
    await seat.page.locator("form button").tap();
    await seat.page.locator("form").waitFor({state: "detached"});
    await picture(seat, `${name}_wait`);
    for (const kind of ["card", "field", "question", "slider", "steer", "reveal"]) {
        await line.go(kind);
        await picture(seat, `${name}_${kind}`);
        if (kind === "question") {
            await seat.page.locator(".choice").nth(1).tap();
            await picture(seat, `${name}_question_chosen`);
            await line.command({do: "close"});
            await picture(seat, `${name}_question_closed`);
        }
        if (kind === "slider") {
            await seat.set_offline(true);
            await seat.page.locator(".step").nth(1).tap();
            await picture(seat, `${name}_lost`);
            await seat.set_offline(false);
            await seat.page.locator("#banner:empty").waitFor({state: "attached"});
            await picture(seat, `${name}_slider_moved`);
        }
    }
    await line.command({do: "end"});
    await picture(seat, `${name}_end`);
    mock.begin_anew();
    const gone = await hall.student({...kPhone, ...options});
    mock.begin_anew();
    await gone.page.locator("form").waitFor();
    await picture(gone, `${name}_gone`);
}

async function desk_pictures(name, options) {
    mock.begin_anew();
    const seat = await hall.desk({...kDesk, ...options});
    await seat.page.locator(".code").waitFor();
    await picture(seat, `${name}_before`);
    for (const kind of ["question", "slider", "steer"]) {
        await line.go(kind);
        await picture(seat, `${name}_${kind}_empty`);
        mock.lecture.invent(150);
        mock.publish();
        await picture(seat, `${name}_${kind}`);
    }
    await seat.page.locator("summary").first().click();
    await picture(seat, `${name}_numbers`);
    mock.lecture.warnings = ["The projector changed its resolution; scenes are shown at the new one."];
    await line.command({do: "next"});
    await seat.page.getByText("End the lecture …").click();
    await picture(seat, `${name}_end_asked`);
    await seat.page.getByText("End it").click();
    await picture(seat, `${name}_ended`);
}

async function session_pictures(name, options) {
    const seat = await hall.seat(hall.back_end.session_desk, {...kDesk, ...options});
    await seat.page.locator("h1").waitFor();
    await picture(seat, `${name}_begun`);
    mock.session.add_settings(24);
    mock.publish();
    await picture(seat, `${name}_cones`);
    await seat.page.getByLabel("Distance").click();
    mock.session.warnings = ["The left screen has warmed up for 4 minutes only."];
    mock.publish();
    await seat.page.getByText("Pause").click();
    await seat.page.locator("summary").click();
    await picture(seat, `${name}_distance_paused`);
    await seat.page.locator("table").scrollIntoViewIfNeeded();
    await picture(seat, `${name}_table`);
}

await phone_pictures("phone_light", {});
await phone_pictures("phone_dark", {colorScheme: "dark"});
await phone_pictures("phone_german", {locale: "de-DE"});
for (const scheme of ["light", "dark"]) {
    await desk_pictures(`lecture_${scheme}`, {colorScheme: scheme});
    await session_pictures(`session_${scheme}`, {colorScheme: scheme});
}
for (const seat of hall.seats) if (seat.faults.length) console.log(seat.faults);
await hall.close();
