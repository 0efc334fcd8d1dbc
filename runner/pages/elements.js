// Makes parts of a page. Texts only ever become text, never HTML.

// Makes an element with attributes and with children, which are elements or strings. `class_name`, `text` and `on_EVENT`
// are set as such. An attribute that is true stands without a value. One that is false, null or undefined is left out.
export function element(tag, attributes = {}, ...children) {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
        if (value === false || value === null || value === undefined) continue;
        if (name === "text") made.textContent = value;
        else if (name === "class_name") made.className = value;
        else if (name.startsWith("on_")) made.addEventListener(name.slice(3), value);
        else made.setAttribute(name, value === true ? "" : value);
    }
    made.append(...children.filter((child) => child !== null && child !== undefined));
    return made;
}

// Where nothing has changed, nothing is set, so that a screen reader says nothing twice.
export function set_text(place, text) {
    if (place.textContent !== text) place.textContent = text;
}

// Returns the text with each {} filled in, in order.
export function fill(text, ...values) {
    let next = 0;
    return text.replace(/\{\}/g, () => String(values[next++]));
}
