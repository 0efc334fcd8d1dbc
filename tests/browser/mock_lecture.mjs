// A lecture as the pages see it, without lights: people, scenes, answers.
import {randomBytes} from "node:crypto";

import {kClosing, kLanguages, kScenes, kTitle} from "./lecture_scenes.mjs";

const kBins = 20;
const kCodeSigns = "ABCDEFGHJKMNPQRSTUVWXYZ23456789";

export function random_code() {
    return [...randomBytes(6)].map((byte) => kCodeSigns[byte % kCodeSigns.length]).join("");
}

function quantile(sorted, share) {
    const at = share * (sorted.length - 1);
    const below = Math.floor(at);
    return sorted[below] + (at - below) * ((sorted[below + 1] ?? sorted[below]) - sorted[below]);
}

const can_be_answered = (scene) => Boolean(scene && (scene.choices || scene.sliders));

export class MockLecture {
    constructor() {
        this.room = random_code();
        this.people = new Map();
        this.scene = 0;
        // By scene; stays as it was left.
        this.closed = new Set();
        this.shown = new Set();
        this.ended = false;
        this.answers = new Map();
        this.warnings = [];
        this.connected = 0;
        this.full = false;
        this.door_open = true;
        this.times_emptied = 0;
        this.turned_away = 0;
        this.begun_ms = Date.now();
    }

    join(ticket, room) {
        if (room !== this.room) return {status: 403, body: {error: "no_such_room"}};
        const known = this.people.has(ticket);
        if (!known && (this.full || !this.door_open)) {
            ++this.turned_away;
            return this.door_open ? {status: 503, body: {error: "room_full"}} : {status: 409, body: {error: "door_closed"}};
        }
        const used = known ? ticket : randomBytes(16).toString("base64url");
        if (!known) this.people.set(used, this.people.size + 1);
        return {status: 200, body: {person: this.people.get(used)}, ticket: known ? null : used};
    }

    get open() {
        return !this.ended && can_be_answered(this.at()) && !this.closed.has(this.scene);
    }

    at() {
        return kScenes[this.scene - 1];
    }

    answers_at(scene) {
        return this.answers.get(scene) ?? new Map();
    }

    answer(ticket, {scene, choice, sliders}) {
        if (scene !== this.scene || !this.open) return 409;
        const now = this.at();
        const share = (value) => typeof value === "number" && value >= 0 && value <= 1;
        const fits = now.choices ? Number.isInteger(choice) && choice >= 1 && choice <= now.choices.length
            : Array.isArray(sliders) && sliders.length === now.sliders.length && sliders.every(share);
        if (!fits) return 422;
        if (!this.answers.has(scene)) this.answers.set(scene, new Map());
        this.answers.get(scene).set(ticket, now.choices ? {choice} : {sliders});
        return 204;
    }

    phone_state(language) {
        const now = this.ended ? undefined : this.at();
        const code = kLanguages.some((known) => known.code === language) ? language : kLanguages[0].code;
        const said = (text) => text?.[code] ?? "";
        const text = this.ended ? [kClosing[code]] : now?.text[code] ?? [];
        return {
            scene: this.scene,
            kind: this.ended ? "end" : now?.kind ?? "wait",
            heading: said(now?.heading ?? kTitle),
            text,
            ask: said(now?.ask),
            choices: (now?.choices ?? []).map(said),
            sliders: (now?.sliders ?? []).map(({name, start, ask, low, high}) => ({name, start, ask: said(ask), low: said(low), high: said(high)})),
            open: this.open,
            times_emptied: this.times_emptied,
            languages: kLanguages,
        };
    }

    mine(ticket) {
        return this.answers_at(this.scene).get(ticket) ?? null;
    }

    desk_answers() {
        const now = this.at();
        const given = [...this.answers_at(this.scene).values()];
        const slider = ({name, ask, start, low, high}, i) => {
            const values = given.map(({sliders}) => sliders[i]).sort((a, b) => a - b);
            const bins = Array(kBins).fill(0);
            for (const value of values) ++bins[Math.min(kBins - 1, Math.floor(value * kBins))];
            const at = (share) => (values.length ? quantile(values, share) : start);
            return {name, ask: ask.en, low: low.en, high: high.en, bins, median: at(0.5), quartile_1: at(0.25), quartile_3: at(0.75)};
        };
        return {
            count: given.length,
            choices: (now?.choices ?? []).map((text, i) => ({text: text.en, count: given.filter(({choice}) => choice === i + 1).length, ...(now.right === i + 1 && {right: true})})),
            sliders: (now?.sliders ?? []).map(slider),
        };
    }

    desk_state(origin) {
        return {
            desk: "lecture", title: kTitle.en, room: this.room, join_address: `${origin}/`,
            people: {joined: this.people.size, connected: this.connected, joins_per_s: 0, turned_away: this.turned_away},
            door_open: this.door_open,
            scenes: kScenes.map(({kind, name, heading, ask}, i) => ({number: i + 1, kind, title: heading.en || ask?.en || name})),
            scene: this.scene, open: this.open, answers_shown: this.shown.has(this.scene),
            elapsed_s: Math.round((Date.now() - this.begun_ms) / 1000), answers: this.desk_answers(), notes: this.at()?.notes ?? [],
            field: {steered: this.at()?.kind === "steer"}, warnings: this.warnings, late_frames: 0, ended: this.ended,
        };
    }

    // Everybody has to join again.
    send_all_away() {
        this.people.clear();
        this.answers.clear();
        return ++this.times_emptied;
    }

    go(scene) {
        if (!Number.isInteger(scene) || scene < 1 || scene > kScenes.length) return false;
        this.scene = scene;
        return true;
    }

    // Whether it could be done.
    command({do: what, scene}) {
        if (this.ended) return false;
        const acts = {
            next: () => this.go(this.scene + 1),
            back: () => this.go(this.scene - 1),
            go: () => this.go(scene),
            open: () => this.closed.delete(this.scene) || true,
            close: () => this.closed.add(this.scene),
            show_answers: () => this.shown.add(this.scene),
            hide_answers: () => this.shown.delete(this.scene) || true,
            open_door: () => (this.door_open = true),
            close_door: () => (this.door_open = false) || true,
            empty_room: () => this.send_all_away(),
            end: () => (this.scene = kScenes.length + 1) && (this.ended = true),
        };
        return Boolean(acts[what]?.());
    }

    // Answers of a class that is not there.
    invent(count) {
        let seed = 7;
        const draw = () => {
            seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
            return seed / 2 ** 32;
        };
        for (let i = 0; i < count; ++i) {
            const ticket = `invented_${i}`;
            if (!this.people.has(ticket)) this.people.set(ticket, this.people.size + 1);
            const now = this.at();
            if (now?.choices) this.answer(ticket, {scene: this.scene, choice: 1 + Math.floor(draw() ** 1.5 * now.choices.length)});
            const value = () => Math.min(1, 0.25 + (draw() + draw() + draw()) / 4);
            if (now?.sliders) this.answer(ticket, {scene: this.scene, sliders: now.sliders.map(value)});
        }
    }
}
