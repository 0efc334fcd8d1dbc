// Makes the parts that both desks are made of.
import {element, set_text} from "./elements.js";

export function time_text(seconds) {
    const whole = Math.max(0, Math.round(seconds));
    const two = (number) => String(number).padStart(2, "0");
    const hours = Math.floor(whole / 3600);
    const minutes = Math.floor(whole / 60) % 60;
    return hours > 0 ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`;
}

// Makes pairs of a name and a value: facts({joined: "Joined"}) gives {node, show({joined: "12"})}. A value of null hides
// its pair.
export function facts(names) {
    const values = Object.fromEntries(Object.keys(names).map((key) => [key, element("dd")]));
    const pairs = Object.entries(names).map(([key, name]) => element("div", {}, element("dt", {text: name}), values[key]));
    return {
        node: element("dl", {class_name: "facts"}, ...pairs),
        show(texts) {
            for (const [key, place] of Object.entries(values)) {
                place.parentElement.hidden = texts[key] === null;
                if (texts[key] !== null) set_text(place, texts[key]);
            }
        },
    };
}

export function warning_list() {
    const list = element("ul");
    const node = element("section", {class_name: "warnings", role: "status", "aria-label": "Warnings", hidden: true},
        element("h2", {text: "Warnings"}), list);
    let shown = "";
    return {
        node,
        show(warnings, late_frames) {
            const all = [...warnings];
            if (late_frames > 0) all.push(`Frames that came late so far: ${late_frames}`);
            if (JSON.stringify(all) === shown) return;
            shown = JSON.stringify(all);
            node.hidden = all.length === 0;
            list.replaceChildren(...all.map((text) => element("li", {text})));
        },
    };
}

let dialogs = 0;

// Makes a button that asks once more before it does what cannot be undone.
export function button_that_asks({text, question, detail, yes, no, act}) {
    const answer = element("button", {type: "button", class_name: "main", text: yes, on_click: () => {
        dialog.close();
        act();
    }});
    const id = `dialog_${++dialogs}`;
    const dialog = element("dialog", {"aria-labelledby": `${id}_question`, "aria-describedby": `${id}_detail`},
        element("h2", {id: `${id}_question`, text: question}),
        element("p", {id: `${id}_detail`, text: detail}),
        element("div", {class_name: "row"},
            element("button", {type: "button", autofocus: true, text: no, on_click: () => dialog.close()}), answer));
    const button = element("button", {type: "button", text, "aria-haspopup": "dialog", on_click: () => dialog.showModal()});
    return {node: element("div", {}, button, dialog), button};
}

// Makes rows of texts. The first column heads its row.
export function number_table(caption, columns, rows) {
    const head = element("tr", {}, ...columns.map((text) => element("th", {scope: "col", text})));
    const body = rows.map(([first, ...rest]) => element("tr", {},
        element("th", {scope: "row", text: first}), ...rest.map((text) => element("td", {text}))));
    return element("table", {}, element("caption", {text: caption}), element("thead", {}, head), element("tbody", {}, ...body));
}
