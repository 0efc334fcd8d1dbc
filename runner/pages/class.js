// The page of a student's telephone. It joins a room, follows its scenes and answers.
import {element, set_text} from "./elements.js";
import {join_view} from "./join_view.js";
import {Link} from "./link.js";
import {Outbox} from "./outbox.js";
import {can_be_answered, scene_view} from "./scene_view.js";

// These words stand only until the page's own words are there.
const kFirstWords = {phone_lost: "No connection. Trying again … / Keine Verbindung. Neuer Versuch …"};

const main = document.getElementById("main");
const banner = document.getElementById("banner");
const language_list = document.getElementById("language");

let page_words = kFirstWords;
let languages = [];
let wanted_languages = [remembered_language(), ...navigator.languages.map((code) => code.slice(0, 2).toLowerCase())].filter(Boolean);
let language = wanted_languages[0] ?? "en";
let state = null;
// The scene that stood when the page was loaded. Only the program knows what was answered up to it.
let first_scene = null;
// The room that this telephone was in is no longer there.
let gone = false;
let view = null;
let shown = "";

const words = (id) => page_words[id] ?? "";

function remembered_language() {
    try {
        return sessionStorage.getItem("language");
    } catch {
        return null;  // A browser may forbid it.
    }
}

function remember_language() {
    try {
        sessionStorage.setItem("language", language);
    } catch {
        // Then it lasts as long as the page.
    }
}

function reach(path, body) {
    return fetch(path, body === undefined
        ? {cache: "no-store"}
        : {method: "POST", headers: {"Content-Type": "application/json"}, body: JSON.stringify(body)});
}

// Gets JSON from a path in the page's language. The result is null where the program does not know this telephone.
// Where a language was asked for that there is not, the best of the languages that there are is asked for instead.
async function get_json(path) {
    const reply = await reach(`${path}?language=${encodeURIComponent(language)}`);
    if (reply.status === 401) return null;
    if (!reply.ok) throw new Error(`status ${reply.status}`);
    const json = await reply.json();
    const codes = json.languages.map(({code}) => code);
    const best = wanted_languages.find((code) => codes.includes(code)) ?? codes[0] ?? language;
    if (best === language) return json;
    language = best;
    return get_json(path);
}

function take_words(json) {
    page_words = json.words;
    document.documentElement.lang = language;
    if (JSON.stringify(json.languages) !== JSON.stringify(languages)) {
        languages = json.languages;
        language_list.replaceChildren(...languages.map(({code, name}) => element("option", {value: code, lang: code, text: name})));
        document.getElementById("languages").hidden = languages.length < 2;
    }
    language_list.value = language;
    set_text(document.querySelector("#languages label"), words("phone_language"));
}

function choose_language(code) {
    language = code;
    wanted_languages = [code, ...wanted_languages];
    remember_language();
    link.open();
}

// The heading takes the focus, so that a screen reader begins there. It does not when the page is loaded, nor while a
// language is chosen.
function show_parts(made) {
    const first = main.childElementCount === 0;
    main.replaceChildren(...made.parts);
    document.title = `${made.heading.textContent} – Isoseam`;
    if (first || document.activeElement === language_list) return;
    scrollTo(0, 0);
    made.heading.focus({preventScroll: true});
}

async function show_join() {
    take_words(await get_json("/words"));
    gone ||= state !== null;
    const typed = document.getElementById("code")?.value;
    const code = typed ?? (gone ? "" : new URLSearchParams(location.search).get("room") ?? "");
    outbox.clear();
    state = null;
    shown = "";
    first_scene = null;
    const join = async (room) => (await reach("/join", {room, language})).status;
    show_parts(join_view({words, code, gone, join, joined: () => link.open()}));
}

// What a view is made of. Whether answers are open is not part of it, because the view that stands shows that.
function content_of(next) {
    const {open, mine, words: page, ...content} = next;
    return JSON.stringify([content, language]);
}

function show_state(next) {
    state = next;
    gone = false;
    if (content_of(next) !== shown) {
        shown = content_of(next);
        view = scene_view(next, words, (answer) => outbox.put(next.scene, answer));
        show_parts(view);
    }
    show_answer();
    if (next.kind === "end") link.stop();
}

function show_answer() {
    view.show(state.open, outbox.answer_of(state.scene), outbox.state_of(state.scene));
}

async function look_at_state() {
    const whole = await get_json("/state");
    if (whole === null) {
        await show_join();
        return false;
    }
    take_words(whole);
    first_scene ??= whole.scene;
    if (whole.mine) outbox.remember(whole.scene, whole.mine);
    show_state(whole);
    outbox.flush();
    return true;
}

function scene_arrived(next) {
    // Everybody was sent out of the room, so the program does not know this telephone any more.
    if (next.times_emptied !== state.times_emptied) {
        link.open();
        return;
    }
    show_state(next);
    const forgotten = next.scene <= first_scene && can_be_answered(next) && outbox.answer_of(next.scene) === null;
    if (forgotten) look_up_own_answer(next.scene);
}

async function look_up_own_answer(scene) {
    const whole = await get_json("/state").catch(() => null);
    if (whole?.scene !== scene || !whole.mine || state?.scene !== scene) return;
    outbox.remember(scene, whole.mine);
    show_answer();
}

const outbox = new Outbox({
    send: (scene, answer) => reach("/answer", {scene, ...answer}),
    changed: (scene) => {
        if (state?.scene === scene) show_answer();
    },
    unreachable: () => link.broken(0),
    unknown_person: () => link.open(),
});

const link = new Link({
    look: look_at_state,
    address: () => `/events?language=${encodeURIComponent(language)}`,
    arrived: scene_arrived,
    lost: () => {
        outbox.hold();
        set_text(banner, words("phone_lost"));
    },
    back: () => {
        outbox.flush();
        set_text(banner, "");
    },
});

language_list.addEventListener("change", () => choose_language(language_list.value));
link.open();
