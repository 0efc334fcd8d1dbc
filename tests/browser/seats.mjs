// Browsers for the tests: a telephone or a desk is a context of its own, and everything that goes wrong in it is kept.
import assert from "node:assert/strict";
import {readFileSync} from "node:fs";
import {createRequire} from "node:module";

import {chromium} from "playwright-core";

import {DeskLine, start_back_end} from "./back_ends.mjs";

const kChromium = process.env.ISOSEAM_CHROMIUM ?? "/usr/bin/chromium";
const kPatience_ms = 15000;
const kPoll_ms = 40;

export const kPhone = {viewport: {width: 360, height: 740}, hasTouch: true, isMobile: true, deviceScaleFactor: 2};
export const kNarrow = {...kPhone, viewport: {width: 320, height: 640}};
export const kDesk = {viewport: {width: 1280, height: 800}};

const axe_source = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

export async function until(is_so, what) {
    const end = Date.now() + kPatience_ms;
    let last;
    for (;;) {
        try {
            last = await is_so();
            if (last) return last;
        } catch (error) {
            last = error;
        }
        if (Date.now() > end) throw new Error(`waited in vain until ${what}; last: ${last}`);
        await new Promise((done) => setTimeout(done, kPoll_ms));
    }
}

// Replies that a page must live with; the browser writes each down as an error.
const kExpected = [[401, "/state"], [401, "/events"], [401, "/answer"], [403, "/join"], [409, "/answer"], [409, "/join"], [429, "/answer"], [503, "/answer"], [503, "/join"]];

class Seat {
    constructor(context, page, origin) {
        Object.assign(this, {context, page, origin});
        this.faults = [];
        this.offline = false;
        this.breaks = false;
        page.on("pageerror", (error) => this.faults.push(`exception: ${error.stack ?? error}`));
        page.on("console", (message) => this.heard(message));
        page.on("request", (request) => {
            if (!request.url().startsWith(`${origin}/`)) this.faults.push(`request to elsewhere: ${request.url()}`);
        });
    }

    heard(message) {
        if (!["error", "warning"].includes(message.type())) return;
        const text = message.text();
        const path = URL.canParse(message.location().url) ? new URL(message.location().url).pathname : "";
        const status = Number(/status of (\d+)/.exec(text)?.[1]);
        if (kExpected.some(([known, at]) => known === status && at === path)) return;
        if (this.breaks && status === 404 && path.startsWith("/desk/")) return;
        if (this.breaks && /net::ERR_/.test(text)) return;
        this.faults.push(`console: ${text} (${path})`);
    }

    // From here on broken connections are meant.
    async set_offline(offline) {
        this.breaks = true;
        await this.context.setOffline(offline);
    }

    heading() {
        return this.page.locator("h1").textContent();
    }

    // The next reply of the program to this path with this status.
    replies(path, status) {
        return this.page.waitForResponse((reply) => new URL(reply.url()).pathname === path && reply.status() === status);
    }

    async sees(text) {
        await this.page.getByText(text, {exact: false}).first().waitFor({timeout: kPatience_ms});
    }

    async audit(state) {
        await this.page.evaluate(axe_source);
        const {violations} = await this.page.evaluate(() => globalThis.axe.run(document));
        assert.deepEqual(violations.map(({id, impact, nodes}) => `${id} (${impact}): ${nodes.map(({html}) => html).join(" | ")}`), [], state);
    }

    // All that can be touched and does not reach `least_px` both ways.
    small_targets(least_px) {
        return this.page.evaluate((least) => [...document.querySelectorAll("button, input, select, summary, textarea, a")]
            .map((found) => found.closest("label.choice, label.option") ?? found)
            .filter((found) => found.checkVisibility())
            .map((found) => ({found, box: found.getBoundingClientRect()}))
            .filter(({box}) => box.width < least || box.height < least)
            .map(({found, box}) => `${found.outerHTML.slice(0, 80)}: ${box.width} x ${box.height}`), least_px);
    }

    sideways_px() {
        return this.page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    }
}

// A back end and the browsers before it, for one file of tests.
export class Hall {
    async open() {
        this.back_end = await start_back_end();
        this.browser = await chromium.launch({executablePath: kChromium, args: process.getuid() === 0 ? ["--no-sandbox"] : []});
        this.seats = [];
    }

    async close() {
        await this.browser?.close();
        await this.back_end?.stop();
    }

    // Before each test: an empty room.
    enter() {
        return this.back_end.begin_anew();
    }

    get desk_line() {
        return new DeskLine(this.back_end.desk);
    }

    async seat(address, options) {
        const context = await this.browser.newContext({locale: "en-GB", colorScheme: "light", reducedMotion: "reduce", ...options});
        const page = await context.newPage();
        page.setDefaultTimeout(kPatience_ms);
        const seat = new Seat(context, page, this.back_end.origin);
        this.seats.push(seat);
        await page.goto(address);
        return seat;
    }

    phone(options = {}, query = "") {
        return this.seat(`${this.back_end.origin}/${query}`, {...kPhone, ...options});
    }

    // A telephone that has joined, and whose stream of events is open.
    async student(options = {}) {
        const phone = await this.phone(options, `?room=${this.back_end.room}`);
        await phone.page.locator("#code").waitFor();
        const stream = phone.replies("/events", 200);
        await phone.page.locator("form button").tap();
        await phone.page.locator("form").waitFor({state: "detached"});
        await stream;
        return phone;
    }

    desk(options = {}) {
        return this.seat(this.back_end.desk, {...kDesk, ...options});
    }

    // After each test: no telephone and no desk had anything to complain of.
    async leave() {
        const seats = this.seats.splice(0);
        const faults = seats.flatMap((seat) => seat.faults);
        for (const seat of seats) await seat.context.close();
        assert.deepEqual(faults, []);
    }
}

