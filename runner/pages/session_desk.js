// The experimenter's desk beside a session. It tells how far the session is and how the settings lie, and it takes
// pauses and notes.
import {chart, lines_over_trials} from "./charts.js";
import {button_that_asks, facts, number_table, time_text, warning_list} from "./desk_parts.js";
import {element, set_text} from "./elements.js";

const kStates = {pages: "Reading pages", adaptation: "Adapting", trial: "In a trial", rest: "Resting", paused: "Paused", ended: "Ended"};
const kCones = ["L", "M", "S"];
const kNoteLetters = 500;

function number_text(value, digits) {
    return typeof value === "number" ? value.toFixed(digits) : "–";
}

function progress_view() {
    const bar = element("progress", {"aria-labelledby": "done_text"});
    const text = element("p", {id: "done_text", class_name: "count"});
    const times = facts({state: "Now", condition: "Condition", elapsed: "Elapsed", left: "About left", answers: "Answers right"});
    return {
        node: element("section", {class_name: "progress"}, element("h2", {text: "Progress"}), text, bar, times.node),
        show({done, planned, state, condition, elapsed_s, left_s, answers}) {
            set_text(text, `${done} of ${planned} trials done`);
            bar.max = Math.max(planned, 1);
            bar.value = done;
            times.show({
                state: kStates[state] ?? state,
                condition: condition || null,
                elapsed: time_text(elapsed_s),
                left: typeof left_s === "number" ? time_text(left_s) : null,
                answers: answers.count > 0 ? `${answers.right} of ${answers.count}` : null,
            });
        },
    };
}

function settings_table(settings) {
    return number_table("Last settings, newest first: off the prediction",
        ["Trial", "Condition", "L contrast %", "M contrast %", "S contrast %", "Distance %", "Time s", "Refused steps"],
        [...settings].reverse().map(({trial, condition, contrast_percent, distance_percent, duration_s, refused_steps}) => [
            String(trial), condition, ...contrast_percent.map((value) => number_text(value, 2)), number_text(distance_percent, 2),
            number_text(duration_s, 1), String(refused_steps)]));
}

function settings_view() {
    const picture = chart(lines_over_trials, "of_settings");
    const table = element("div", {class_name: "scroll", tabindex: 0, role: "region", "aria-label": "Last settings in numbers"});
    let newest = null;
    const radio = (value, text, checked) => element("label", {class_name: "option"},
        element("input", {type: "radio", name: "quantity", value, checked, on_change: () => draw()}), text);
    const conditions = element("select", {id: "condition", on_change: () => draw()});
    const choice = element("div", {class_name: "row"},
        element("fieldset", {class_name: "row"}, element("legend", {class_name: "unseen", text: "What the chart shows"}), radio("cones", "L, M, S contrast", true), radio("distance", "Distance", false)),
        element("label", {for: "condition", text: "Condition"}), conditions);
    const nothing = element("p", {text: "No setting yet."});
    const shown = element("div", {}, choice, picture.node, element("details", {}, element("summary", {text: "The same in numbers"}), table));

    function list_conditions(settings) {
        const names = [...new Set(settings.map(({condition}) => condition))];
        if (conditions.dataset.names === JSON.stringify(names)) return;
        conditions.dataset.names = JSON.stringify(names);
        const chosen = conditions.value;
        conditions.replaceChildren(element("option", {value: "", text: "all"}), ...names.map((name) => element("option", {value: name, text: name})));
        conditions.value = names.includes(chosen) ? chosen : "";
    }

    function draw() {
        const chosen = newest.filter(({condition}) => conditions.value === "" || condition === conditions.value);
        const cones = node.querySelector("input[name=quantity]:checked").value === "cones";
        const line = (name, value) => ({name, points: chosen.map((setting) => ({x: setting.trial, y: value(setting)}))});
        const lines = cones ? kCones.map((name, i) => line(name, (setting) => setting.contrast_percent[i])) : [line("distance", (setting) => setting.distance_percent)];
        const last = lines.map(({name, points}) => `${name} ${number_text(points.at(-1)?.y, 2)} %`).join(", ");
        picture.show(`Settings against the prediction over trials; zero is the prediction. Last setting: ${last}`,
            {unit: cones ? "contrast to the prediction, %" : "distance from the prediction, %", lines});
    }

    const node = element("section", {class_name: "settings"}, element("h2", {text: "Settings against the prediction"}), nothing, shown);
    return {
        node,
        show({settings}) {
            nothing.hidden = settings.length > 0;
            shown.hidden = settings.length === 0;
            if (settings.length === 0 || JSON.stringify(settings) === JSON.stringify(newest)) return;
            newest = settings;
            list_conditions(settings);
            draw();
            table.replaceChildren(settings_table(settings));
        },
    };
}

function note_form(command) {
    const text = element("textarea", {id: "note", rows: 3, maxlength: kNoteLetters, "aria-describedby": "note_caution note_said"});
    const said = element("p", {id: "note_said", role: "status"});
    const button = element("button", {type: "submit", text: "Keep the note"});
    async function submit(event) {
        event.preventDefault();
        const note = text.value.trim();
        if (note === "") {
            set_text(said, "There is nothing to keep: write the note first.");
            text.focus();
            return;
        }
        const kept = await command({do: "note", text: note});
        if (kept) text.value = "";
        set_text(said, kept ? "Kept." : "Not kept; it still stands here.");
    }
    const count = element("p");
    return {
        node: element("section", {class_name: "note"}, element("form", {on_submit: submit},
            element("label", {for: "note", text: "Note"}), element("p", {id: "note_caution", class_name: "hint", text: "It goes into the record: write nothing that identifies a person."}),
            text, button, said), count),
        show({notes, ended}) {
            text.disabled = button.disabled = ended;
            set_text(count, `Notes in the record: ${notes}`);
        },
    };
}

function calibration_list() {
    const list = element("ul");
    return {
        node: element("section", {class_name: "calibrations"}, element("h2", {text: "Calibrations"}), list),
        show({calibrations}) {
            const texts = calibrations.map(({name, days_left, demo}) => {
                const days = days_left < 0 ? "expired" : days_left === 0 ? "valid until today" : `valid for ${days_left} more day${days_left === 1 ? "" : "s"}`;
                return demo ? `${name}: invented, for demonstrations only` : `${name}: ${days}`;
            });
            if (list.dataset.texts === JSON.stringify(texts)) return;
            list.dataset.texts = JSON.stringify(texts);
            list.replaceChildren(...texts.map((text) => element("li", {text})));
        },
    };
}

export function session_desk(command) {
    const title = element("h1");
    const person = element("p", {class_name: "elapsed"});
    const now = element("p", {class_name: "now", role: "status"});
    let state = null;
    const pause = element("button", {type: "button", class_name: "main", on_click: () => command({do: state.state === "paused" ? "go_on" : "pause"})});
    const end = button_that_asks({
        text: "End the session …", question: "End the session?", detail: "Everything that was accepted is saved. The session can be resumed later.",
        yes: "End it", no: "Go on", act: () => command({do: "end"})});
    const parts = {progress: progress_view(), settings: settings_view(), note: note_form(command), calibrations: calibration_list()};
    const warnings = warning_list();
    return {
        parts: [
            element("header", {}, title, person),
            element("div", {class_name: "session"},
                element("main", {}, parts.progress.node, parts.settings.node),
                element("aside", {"aria-label": "Controls, warnings and notes"},
                    element("div", {class_name: "controls"}, now, pause), warnings.node, parts.note.node, parts.calibrations.node, end.node)),
        ],
        show(newest) {
            state = newest;
            set_text(title, state.title);
            set_text(person, `Participant ${state.participant}`);
            set_text(now, state.ended ? "The session has ended" : kStates[state.state] ?? state.state);
            set_text(pause, state.state === "paused" ? "Go on" : "Pause");
            pause.disabled = end.button.disabled = state.ended;
            for (const part of Object.values(parts)) part.show(state);
            warnings.show(state.warnings, state.late_frames);
        },
    };
}
