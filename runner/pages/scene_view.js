// Shows a scene on a telephone: its words, and what can be answered.
import {element, fill, set_text} from "./elements.js";

// A request that takes longer than this is slow enough to speak of.
const kSlow_ms = 500;
const kStep = 0.01;

// These headings stand where the lecture has none of its own.
const kHeadings = {field: "phone_field_heading", reveal: "phone_reveal_heading", steer: "phone_steer_heading"};
const kTexts = {wait: "phone_wait_text", end: "phone_end_text", steer: "phone_steer_text"};

// The id under which the words of a question name its controls.
const kAskId = "ask";

export function can_be_answered(state) {
    return ["question", "slider", "steer"].includes(state.kind);
}

// Makes radio buttons. A person's own choice is marked by words.
function choices(state, words, put) {
    const marks = state.choices.map(() => element("span", {class_name: "choice_mark"}));
    const inputs = state.choices.map((_, i) =>
        element("input", {type: "radio", name: "choice", value: i + 1, on_change: () => put({choice: i + 1})}));
    const labels = state.choices.map((text, i) =>
        element("label", {class_name: "choice"}, inputs[i], element("span", {class_name: "choice_text", text}), marks[i]));
    const node = element("fieldset", {"aria-labelledby": kAskId}, ...labels);
    return {
        node,
        show(answer, open) {
            node.disabled = !open;
            inputs.forEach((input, i) => {
                input.checked = answer?.choice === i + 1;
                set_text(marks[i], input.checked ? words("phone_own_choice") : "");
            });
        },
    };
}

function ends_of(slider, id) {
    const end = (number, text) => element("span", {text: text ? `${number}: ${text}` : String(number)});
    return element("span", {id, class_name: "ends"}, end(0, slider.low), " ", end(100, slider.high));
}

// Makes one slider: a native range, with a button at either end for those who cannot drag.
function one_slider(slider, number, alone, words, moved) {
    const id = `slider_${number}`;
    const name = alone ? kAskId : `${id}_ask`;
    const value = element("output", {class_name: "value", for: id, "aria-hidden": "true"});
    const input = element("input", {
        id, type: "range", min: 0, max: 1, step: kStep, "aria-labelledby": name, "aria-describedby": `${id}_ends`, on_input: () => changed()});
    const button = (sign, says, direction) => element("button", {
        type: "button", class_name: "step", text: sign, "aria-label": says, "aria-describedby": name,
        on_click: () => {
            input.valueAsNumber += direction * kStep;
            changed();
        }});
    const write = () => {
        const of_100 = Math.round(input.valueAsNumber * 100);
        set_text(value, String(of_100));
        input.setAttribute("aria-valuetext", fill(words("phone_slider_value"), of_100));
    };
    const changed = () => {
        write();
        moved();
    };
    const node = element("div", {class_name: "slider"},
        element("div", {class_name: "slider_head"}, alone ? null : element("label", {id: name, for: id, text: slider.ask}), value),
        input,
        element("div", {class_name: "steps"}, button("−", words("phone_less"), -1), ends_of(slider, `${id}_ends`), button("+", words("phone_more"), 1)));
    return {
        node,
        value: () => Math.round(input.valueAsNumber * 100) / 100,
        set(to) {
            if (input.valueAsNumber !== Math.round(to * 100) / 100) input.valueAsNumber = to;
            write();
        },
    };
}

function sliders(state, words, put) {
    const send = () => put({sliders: all.map((slider) => slider.value())});
    const all = state.sliders.map((slider, i) => one_slider(slider, i, state.sliders.length === 1, words, send));
    // Whoever means the place where the slider stands must be able to say so.
    const as_it_stands = element("button", {type: "button", class_name: "main", text: words("phone_as_it_stands"), on_click: send});
    const node = element("fieldset", {"aria-labelledby": kAskId}, ...all.map((slider) => slider.node),
        state.kind === "slider" ? as_it_stands : null);
    return {
        node,
        show(answer, open) {
            // A button that is taken away takes the focus with it.
            if (answer && document.activeElement === as_it_stands) document.getElementById("slider_0").focus();
            node.disabled = !open;
            as_it_stands.hidden = answer !== null;
            all.forEach((slider, i) => slider.set(answer?.sliders[i] ?? state.sliders[i].start));
        },
    };
}

function status_text(words, open, answer_state) {
    const by_state = {
        none: open ? "phone_not_answered" : "phone_closed",
        waiting: "phone_sending",
        kept: "phone_kept",
        sent: open ? "phone_sent" : "phone_sent_closed",
        late: "phone_late",
        refused: "phone_refused",
    };
    return words(by_state[answer_state]);
}

// Tells under the controls what became of the answer.
function status_line(words) {
    const node = element("p", {id: "answer_status", role: "status"});
    let timer;
    return {
        node,
        show(open, answer_state) {
            clearTimeout(timer);
            const say = () => set_text(node, status_text(words, open, answer_state));
            // While a slider moves, one request follows another. Only what takes long is told.
            if (answer_state === "waiting") timer = setTimeout(say, kSlow_ms);
            else say();
        },
    };
}

function paragraphs(state, words) {
    const own = kTexts[state.kind];
    return [...state.text, ...(own ? [words(own)] : [])].map((text) => element("p", {text}));
}

// `words(id)` are the page's own words, and `put(answer)` takes an answer. Returns the parts of the page, the heading to focus,
// and show(open, answer, answer_state).
export function scene_view(state, words, put) {
    const asks = can_be_answered(state);
    const ask = state.ask || (state.sliders.length === 1 ? state.sliders[0].ask : "");
    // The question itself is the heading where there is no other.
    const apart = asks && Boolean(state.heading && ask);
    const heading = element("h1", {
        tabindex: -1, id: asks && !apart ? kAskId : null,
        text: state.heading || ask || words(kHeadings[state.kind] ?? "phone_title")});
    const parts = [heading, ...paragraphs(state, words)];
    if (!asks) return {parts, heading, show() {}};
    if (apart) parts.push(element("p", {id: kAskId, class_name: "ask", text: ask}));
    const controls = state.kind === "question" ? choices(state, words, put) : sliders(state, words, put);
    const status = status_line(words);
    parts.push(controls.node, status.node);
    return {
        parts,
        heading,
        show(open, answer, answer_state) {
            controls.show(answer, open);
            status.show(open, answer_state);
        },
    };
}
