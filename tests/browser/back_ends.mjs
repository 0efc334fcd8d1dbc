// What the pages talk to in the tests: the built program, where ISOSEAM_PROGRAM names it, otherwise the mock server.
import {spawn} from "node:child_process";
import {mkdtemp, rm} from "node:fs/promises";
import {tmpdir} from "node:os";
import {join} from "node:path";
import {fileURLToPath} from "node:url";

import {MockServer} from "./mock_server.mjs";

// An event, as soon as one comes; the newest state is whole.
async function first_event(address) {
    const stop = new AbortController();
    const reply = await fetch(address, {signal: stop.signal});
    let text = "";
    for await (const part of reply.body.pipeThrough(new TextDecoderStream())) {
        text += part;
        const data = /^data: ?(.*)\n/m.exec(text)?.[1];
        if (data === undefined) continue;
        stop.abort();
        return JSON.parse(data);
    }
    throw new Error(`${address} ended without an event`);
}

// A desk from outside its page.
export class DeskLine {
    constructor(address) {
        this.address = address;
    }

    async command(what) {
        const reply = await fetch(`${this.address}/command`, {
            method: "POST", headers: {"Content-Type": "application/json"}, body: JSON.stringify(what)});
        if (reply.status !== 204) throw new Error(`${JSON.stringify(what)} was answered with ${reply.status}`);
    }

    state() {
        return first_event(`${this.address}/events`);
    }

    // To the first scene of a kind; its number.
    async go(kind) {
        const {number} = (await this.state()).scenes.find((scene) => scene.kind === kind);
        await this.command({do: "go", scene: number});
        return number;
    }
}

class MockBackEnd {
    async start() {
        this.mock = new MockServer();
        await this.mock.listen();
        this.origin = this.mock.origin;
        this.session_desk = `${this.origin}/desk/${this.mock.session_secret}`;
    }

    get room() {
        return this.mock.lecture.room;
    }

    get desk() {
        return `${this.origin}/desk/${this.mock.secret}`;
    }

    // A room that nobody has entered.
    async begin_anew() {
        this.mock.begin_anew();
    }

    stop() {
        return this.mock.close();
    }
}

const kStart_ms = 20000;

// The program prints the address of the desk, and the one to join at with the room's code.
class ProgramBackEnd {
    constructor(program) {
        this.program = program;
        // What only the mock can do.
        this.mock = null;
        this.session_desk = null;
    }

    arguments() {
        const lecture = fileURLToPath(new URL("lecture.yaml", import.meta.url));
        return ["lecture", "run", lecture, "--headless", "--desk-address", "127.0.0.1:0", "--out", this.folder];
    }

    async start() {
        this.folder = await mkdtemp(join(tmpdir(), "isoseam-lecture-"));
        // Without a screen the lecturer's keys are words on standard input: none here.
        this.child = spawn(this.program, this.arguments(), {stdio: ["pipe", "ignore", "pipe"]});
        let printed = "";
        await new Promise((done, failed) => {
            const late = setTimeout(() => failed(new Error(`the program printed no addresses: ${printed}`)), kStart_ms);
            this.child.once("exit", (status) => failed(new Error(`the program ended with ${status}`)));
            this.child.stderr.on("data", (part) => {
                printed += part;
                this.desk = /https?:\/\/\S+\/desk\/[\w-]+/.exec(printed)?.[0];
                this.room = /room code ([A-Z0-9]+)/.exec(printed)?.[1];
                if (!this.desk || !this.room) return;
                clearTimeout(late);
                done();
            });
        });
        this.origin = new URL(this.desk).origin;
    }

    async begin_anew() {
        await this.stop();
        await this.start();
    }

    async stop() {
        if (this.child.exitCode !== null) return;
        const ended = new Promise((done) => this.child.once("exit", done));
        this.child.kill("SIGTERM");
        await ended;
        await rm(this.folder, {recursive: true, force: true});
    }
}

export async function start_back_end() {
    const program = process.env.ISOSEAM_PROGRAM;
    const back_end = program ? new ProgramBackEnd(program) : new MockBackEnd();
    await back_end.start();
    return back_end;
}
