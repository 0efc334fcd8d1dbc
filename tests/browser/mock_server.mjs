// The program's web side in small, for developing the pages and for their tests where the program is not built:
//     node mock_server.mjs [PORT]
import {randomBytes} from "node:crypto";
import {existsSync, readFileSync} from "node:fs";
import {createServer} from "node:http";
import {fileURLToPath} from "node:url";

import {kLanguages} from "./lecture_scenes.mjs";
import {MockLecture} from "./mock_lecture.mjs";
import {MockSession} from "./mock_session.mjs";

const kRoot = fileURLToPath(new URL("../../", import.meta.url));
const kTypes = {html: "text/html; charset=utf-8", js: "text/javascript; charset=utf-8", css: "text/css; charset=utf-8", svg: "image/svg+xml"};
const kPages = ["icon.svg", "class.html", "class.css", "class.js", "join_view.js", "scene_view.js", "outbox.js", "link.js", "elements.js",
    "desk.html", "desk.css", "desk.js", "lecture_desk.js", "session_desk.js", "desk_parts.js", "charts.js"];
const kChartFiles = ["/usr/share/javascript/chart.js/chart.min.js", "/usr/share/nodejs/chart.js/dist/chart.min.js"];

// OWASP's sheet on HTTP headers: the same that the program sends.
const kHeaders = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; base-uri 'none'; " +
        "form-action 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Cache-Control": "no-store",
};
const kMostBytes = 4096;

export function page_words(language) {
    const code = kLanguages.some((known) => known.code === language) ? language : kLanguages[0].code;
    const text = readFileSync(`${kRoot}runner/phrases/${code}.yaml`, "utf8");
    return Object.fromEntries([...text.matchAll(/^(phone_\w+): "(.*)"$/gm)].map(([, id, said]) => [id, said]));
}

function read_pages() {
    const pages = new Map(kPages.map((name) => [name, readFileSync(`${kRoot}runner/pages/${name}`)]));
    const chart = kChartFiles.find((file) => existsSync(file));
    if (chart) pages.set("chart.js", readFileSync(chart));
    return pages;
}

export class MockServer {
    constructor() {
        this.secret = randomBytes(16).toString("base64url");
        this.session_secret = randomBytes(16).toString("base64url");
        this.pages = read_pages();
        this.streams = new Set();
        // Statuses of the next answers, whatever they are: [429, 503].
        this.answer_faults = [];
        this.answers_received = 0;
        this.stream_delay_ms = 0;
        this.begin_anew();
    }

    // As when the program was closed and started again: another room, nobody is known.
    begin_anew() {
        this.lecture = new MockLecture();
        this.session = new MockSession();
        this.drop_streams();
    }

    async listen(port = 0) {
        this.server = createServer((request, response) => this.serve(request, response));
        await new Promise((done) => this.server.listen(port, "127.0.0.1", done));
        this.port = this.server.address().port;
        this.origin = `http://127.0.0.1:${this.port}`;
    }

    async close() {
        this.drop_streams();
        this.server.closeAllConnections();
        await new Promise((done) => this.server.close(done));
    }

    // The desk's address is no longer one.
    forget_desk() {
        this.secret = randomBytes(16).toString("base64url");
        this.drop_streams();
    }

    drop_streams() {
        for (const stream of this.streams) stream.response.destroy();
    }

    publish() {
        for (const stream of this.streams) stream.response.write(`data: ${JSON.stringify(stream.state())}\n\n`);
    }

    async serve(request, response) {
        for (const [name, value] of Object.entries(kHeaders)) response.setHeader(name, value);
        const url = new URL(request.url, this.origin);
        const ticket = /(?:^|;\s*)ticket=([\w-]+)/.exec(request.headers.cookie ?? "")?.[1] ?? "";
        const language = url.searchParams.get("language") ?? "";
        if (request.method === "GET" || request.method === "HEAD") this.get(url.pathname, {ticket, language}, response);
        else if (request.method === "POST") await this.post(request, url.pathname, ticket, response);
        else this.reply(response, 405);
    }

    reply(response, status, body) {
        if (body !== undefined) response.setHeader("Content-Type", "application/json");
        response.writeHead(status);
        response.end(body === undefined ? undefined : JSON.stringify(body));
    }

    page(response, name) {
        response.setHeader("Content-Type", kTypes[name.split(".").at(-1)]);
        response.end(this.pages.get(name));
    }

    async stream(response, person, state) {
        await new Promise((done) => setTimeout(done, this.stream_delay_ms));
        response.writeHead(200, {"Content-Type": "text/event-stream"});
        const stream = {response, state};
        this.streams.add(stream);
        this.lecture.connected += person ? 1 : 0;
        response.on("close", () => {
            this.streams.delete(stream);
            this.lecture.connected -= person ? 1 : 0;
            if (person) this.publish();
        });
        this.publish();
    }

    get(path, {ticket, language}, response) {
        const known = this.lecture.people.has(ticket);
        const lecture_desk = () => this.lecture.desk_state(this.origin);
        const gets = {
            "/": () => this.page(response, "class.html"),
            "/words": () => this.reply(response, 200, {languages: kLanguages, words: page_words(language)}),
            "/state": () => known
                ? this.reply(response, 200, {...this.lecture.phone_state(language), mine: this.lecture.mine(ticket), words: page_words(language)})
                : this.reply(response, 401, {error: "not_joined"}),
            "/events": () => known ? this.stream(response, true, () => this.lecture.phone_state(language)) : this.reply(response, 401, {error: "not_joined"}),
            [`/desk/${this.secret}`]: () => this.page(response, "desk.html"),
            [`/desk/${this.session_secret}`]: () => this.page(response, "desk.html"),
            [`/desk/${this.secret}/events`]: () => this.stream(response, false, lecture_desk),
            [`/desk/${this.session_secret}/events`]: () => this.stream(response, false, () => this.session.desk_state()),
        };
        const file = path.slice(1);
        if (Object.hasOwn(gets, path)) gets[path]();
        else if (this.pages.has(file) && !file.endsWith(".html")) this.page(response, file);
        else this.reply(response, 404);
    }

    async body_of(request) {
        let text = "";
        for await (const part of request) {
            text += part;
            if (text.length > kMostBytes) return {status: 413};
        }
        try {
            return {json: JSON.parse(text)};
        } catch {
            return {status: 400};
        }
    }

    async post(request, path, ticket, response) {
        if (request.headers.origin !== undefined && request.headers.origin !== this.origin) return this.reply(response, 403);
        if (request.headers["content-type"] !== "application/json") return this.reply(response, 415);
        const {json, status} = await this.body_of(request);
        if (status) return this.reply(response, status);
        const posts = {
            "/join": () => this.post_join(json, ticket, response),
            "/answer": () => this.post_answer(json, ticket, response),
            [`/desk/${this.secret}/command`]: () => this.reply(response, this.lecture.command(json) ? 204 : 422),
            [`/desk/${this.session_secret}/command`]: () => this.reply(response, this.session.command(json) ? 204 : 422),
        };
        if (!Object.hasOwn(posts, path)) return this.reply(response, 404);
        posts[path]();
        this.publish();
    }

    post_join({room}, ticket, response) {
        const {status, body, ticket: given} = this.lecture.join(ticket, room);
        if (given) response.setHeader("Set-Cookie", `ticket=${given}; HttpOnly; SameSite=Strict; Path=/`);
        this.reply(response, status, body);
    }

    post_answer(json, ticket, response) {
        ++this.answers_received;
        const fault = this.answer_faults.shift();
        if (fault) return this.reply(response, fault);
        if (!this.lecture.people.has(ticket)) return this.reply(response, 401, {error: "not_joined"});
        const status = this.lecture.answer(ticket, json);
        const errors = {409: "scene_over", 422: "not_an_answer"};
        this.reply(response, status, errors[status] && {error: errors[status]});
    }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
    const server = new MockServer();
    await server.listen(Number(process.argv[2] ?? 0));
    server.session.add_settings(24);
    console.log(`phones   ${server.origin}/?room=${server.lecture.room}`);
    console.log(`lecture  ${server.origin}/desk/${server.secret}`);
    console.log(`session  ${server.origin}/desk/${server.session_secret}`);
}
