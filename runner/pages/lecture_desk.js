// The lecturer's desk, with the scenes, the answers and the room.
import {bars, chart, histogram} from "./charts.js";
import {button_that_asks, facts, number_table, time_text, warning_list} from "./desk_parts.js";
import {element, set_text} from "./elements.js";

const kKinds = {wait: "Wait", card: "Card", field: "Field", question: "Question", slider: "Slider", steer: "Steering", reveal: "Reveal", end: "End"};
const kForward = ["ArrowRight", "PageDown"];
const kBackward = ["ArrowLeft", "PageUp"];

// Writes the code in two groups, for reading aloud.
function grouped(code) {
    return code.length === 6 ? `${code.slice(0, 3)} ${code.slice(3)}` : code;
}

function percent(count, of) {
    return of > 0 ? `${Math.round((100 * count) / of)} %` : "–";
}

function scene_list(command) {
    const list = element("ol", {class_name: "scenes"});
    let shown = "";
    let buttons = [];
    return {
        node: element("nav", {"aria-label": "Scenes"}, element("h2", {text: "Scenes"}), list),
        show({scenes, scene, ended}) {
            if (JSON.stringify(scenes) !== shown) {
                shown = JSON.stringify(scenes);
                buttons = scenes.map(({number, kind, title}) => element("button", {type: "button", on_click: () => command({do: "go", scene: number})},
                    element("span", {class_name: "number", text: String(number)}),
                    element("span", {class_name: "scene_title", text: title}),
                    element("span", {class_name: "kind", text: kKinds[kind] ?? kind})));
                list.replaceChildren(...buttons.map((button) => element("li", {}, button)));
            }
            buttons.forEach((button, i) => {
                const now = scenes[i].number === scene;
                const moved = now && !button.hasAttribute("aria-current");
                if (now) button.setAttribute("aria-current", "step");
                else button.removeAttribute("aria-current");
                button.disabled = ended;
                if (moved) button.scrollIntoView({block: "nearest"});
            });
        },
    };
}

function choices_view() {
    const picture = chart(bars, "of_choices");
    const numbers = element("div");
    return {
        node: element("div", {}, picture.node, in_numbers(numbers)),
        show({count, choices}) {
            const rows = choices.map((choice) => [choice.right ? `${choice.text} (right)` : choice.text, String(choice.count), percent(choice.count, count)]);
            picture.show(`Bar chart of the choices: ${rows.map(([text, people]) => `${text}: ${people}`).join("; ")}`,
                rows.map(([text], i) => ({text, count: choices[i].count})));
            numbers.replaceChildren(number_table("Choices", ["Choice", "People", "Share"], rows));
        },
        remove: () => picture.remove(),
    };
}

function in_numbers(content) {
    return element("details", {}, element("summary", {text: "The same in numbers"}), content);
}

function slider_view(slider) {
    const picture = chart(histogram, "of_slider");
    const numbers = element("div");
    const ends = element("p", {class_name: "ends"}, element("span", {text: `0: ${slider.low}`}), element("span", {text: `100: ${slider.high}`}));
    return {
        node: element("div", {class_name: "slider"}, element("h3", {text: slider.ask}), picture.node, ends, in_numbers(numbers)),
        show({bins, median, quartile_1, quartile_3}, count) {
            const all = [quartile_1, median, quartile_3].map((share) => (count > 0 ? String(Math.round(share * 100)) : "–"));
            const middle = count > 0 ? {median, quartile_1, quartile_3} : {};
            picture.show(`Histogram of “${slider.ask}” from 0 to 100: median ${all[1]}, middle half from ${all[0]} to ${all[2]}`, {bins, ...middle});
            const edge = (i) => Math.round((100 * i) / bins.length);
            numbers.replaceChildren(
                number_table("Middle", ["Measure", "Position"], [["First quartile", all[0]], ["Median", all[1]], ["Third quartile", all[2]]]),
                number_table("Where people are", ["From – to", "People"], bins.map((people, i) => [`${edge(i)} – ${edge(i + 1)}`, String(people)])));
        },
        remove: () => picture.remove(),
    };
}

function sliders_view(first) {
    const views = first.map(slider_view);
    return {
        node: element("div", {class_name: "sliders"}, ...views.map((view) => view.node)),
        show: ({count, sliders}) => views.forEach((view, i) => view.show(sliders[i], count)),
        remove: () => views.forEach((view) => view.remove()),
    };
}

// Shows what the class answered. Charts are made anew for each scene.
function answers_view() {
    const people = element("p", {class_name: "count"});
    const place = element("div");
    let view = null;
    let made_for = "";
    return {
        node: element("section", {"aria-label": "Answers"}, people, place),
        show({scene, answers, people: {joined}, open}) {
            const asks = Boolean(answers && (answers.choices?.length || answers.sliders?.length));
            const names = asks ? [answers.choices?.map(({text}) => text), answers.sliders?.map(({ask, low, high}) => [ask, low, high])] : null;
            const wanted = JSON.stringify([scene, names]);
            if (wanted !== made_for) {
                made_for = wanted;
                view?.remove();
                view = !asks ? null : answers.choices?.length ? choices_view() : sliders_view(answers.sliders);
                place.replaceChildren(...(view ? [view.node] : []));
            }
            const taken = open ? "Answers are open." : "Answers are closed.";
            set_text(people, asks ? `${answers.count} of ${joined} people have answered. ${taken}` : "Nothing is asked now.");
            view?.show(answers);
        },
    };
}

function controls(command) {
    const button = (text, act, more = {}) => element("button", {type: "button", text, on_click: act, ...more});
    const back = button("◀ Back", () => command({do: "back"}));
    const next = button("Next ▶", () => command({do: "next"}), {class_name: "main"});
    let now = null;
    const open = button("", () => command({do: now.open ? "close" : "open"}));
    const reveal = button("", () => command({do: now.answers_shown ? "hide_answers" : "show_answers"}));
    addEventListener("keydown", (event) => {
        // A key that is held would make scenes flicker past.
        if (event.repeat || event.altKey || event.ctrlKey || event.metaKey || document.querySelector("dialog[open]")) return;
        const pressed = kForward.includes(event.key) ? next : kBackward.includes(event.key) ? back : null;
        if (!pressed) return;
        event.preventDefault();
        pressed.click();
    });
    return {
        node: element("div", {class_name: "row controls", role: "group", "aria-label": "Controls"}, back, next, open, reveal),
        show(state) {
            now = state;
            const at = state.scenes.findIndex(({number}) => number === state.scene);
            const asks = ["question", "slider", "steer"].includes(state.scenes[at]?.kind);
            back.disabled = state.ended || state.scene === 0;  // 0 is the page where people join
            next.disabled = state.ended || at === state.scenes.length - 1;
            open.disabled = reveal.disabled = state.ended || !asks;
            set_text(open, state.open ? "Close answers" : "Open answers");
            set_text(reveal, state.answers_shown ? "Hide on the projector" : "Show on the projector");
        },
    };
}

// Shows who comes in. The lecturer can close the door, and send everybody out.
function door_view(command) {
    let now = null;
    const state = element("p", {role: "status"});
    const door = element("button", {type: "button", on_click: () => command({do: now.door_open ? "close_door" : "open_door"})});
    const empty = button_that_asks({
        text: "Empty the room …", question: "Send everybody out of the room?",
        detail: "Everybody has to join again, and all answers so far no longer count.",
        yes: "Empty the room", no: "Go on", act: () => command({do: "empty_room"})});
    return {
        node: element("div", {class_name: "door"}, state, element("div", {class_name: "row"}, door, empty.node)),
        show(state_now) {
            now = state_now;
            set_text(state, now.door_open ? "The door is open." : "The door is closed. Nobody new can join.");
            set_text(door, now.door_open ? "Close the door" : "Open the door");
            door.disabled = empty.button.disabled = now.ended;
        },
    };
}

function room_view(command) {
    const code = element("p", {class_name: "code"});
    const address = element("p", {class_name: "address"});
    const people = facts({joined: "Joined", connected: "Connected now", joins: "Joining each second", away: "Turned away"});
    const door = door_view(command);
    return {
        node: element("section", {class_name: "room", "aria-label": "Room"}, element("h2", {text: "Room code"}), code,
            element("h2", {text: "Join at"}), address, people.node, door.node),
        show(state) {
            const {room, join_address, people: {joined, connected, joins_per_s, turned_away}} = state;
            set_text(code, grouped(room));
            if (address.textContent !== join_address) {
                const [scheme, rest] = join_address.split("//");
                address.replaceChildren(`${scheme}//`, element("wbr"), rest);
            }
            people.show({joined: String(joined), connected: String(connected), joins: joins_per_s.toFixed(1),
                away: turned_away > 0 ? String(turned_away) : null});
            door.show(state);
        },
    };
}

function scene_heading() {
    const heading = element("h2", {class_name: "now"});
    return {
        node: element("div", {role: "status"}, heading),
        show({scenes, scene, field, ended}) {
            const now = scenes.find(({number}) => number === scene);
            const steered = field?.steered ? " (the class steers the field)" : "";
            const text = now ? `Scene ${scene} of ${scenes.length}: ${now.title}${steered}` : "Before the first scene";
            set_text(heading, ended ? "The lecture has ended" : text);
        },
    };
}

// Shows what the lecturer wrote down about this scene. It is for the desk alone.
function notes_view() {
    const list = element("div");
    const node = element("section", {class_name: "notes", "aria-label": "Notes"}, element("h2", {text: "Your notes"}), list);
    return {
        node,
        show({notes}) {
            node.hidden = notes.length === 0;
            if (list.dataset.shown === JSON.stringify(notes)) return;
            list.dataset.shown = JSON.stringify(notes);
            list.replaceChildren(...notes.map((text) => element("p", {text})));
        },
    };
}

export function lecture_desk(command) {
    const title = element("h1");
    const elapsed = element("p", {class_name: "elapsed"});
    const list = scene_list(command);
    const end = button_that_asks({
        text: "End the lecture …", question: "End the lecture?", detail: "All telephones say that it is over. It cannot be gone on with.",
        yes: "End it", no: "Go on", act: () => command({do: "end"})});
    const parts = [scene_heading(), controls(command), notes_view(), answers_view()];
    const room = room_view(command);
    const warnings = warning_list();
    return {
        parts: [
            element("header", {}, title, elapsed),
            element("div", {class_name: "lecture"}, list.node, element("main", {}, ...parts.map((part) => part.node),
                element("p", {class_name: "hint", text: "Keys: → or Page Down for the next scene, ← or Page Up for the one before."})),
                element("aside", {"aria-label": "Room and warnings"}, room.node, warnings.node, end.node)),
        ],
        show(state) {
            set_text(title, state.title);
            set_text(elapsed, `Running for ${time_text(state.elapsed_s)}`);
            for (const part of [list, room, ...parts]) part.show(state);
            warnings.show(state.warnings, state.late_frames);
            end.button.disabled = state.ended;
        },
    };
}
