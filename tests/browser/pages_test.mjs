// The files of the pages themselves, without a browser.
import assert from "node:assert/strict";
import {readdirSync, readFileSync} from "node:fs";
import {test} from "node:test";

import {page_words} from "./mock_server.mjs";

const kPages = new URL("../../runner/pages/", import.meta.url);
const text_of = (name) => readFileSync(new URL(name, kPages), "utf8");
const names = readdirSync(kPages).filter((name) => /\.(html|js|css|svg)$/.test(name));
const scripts = names.filter((name) => name.endsWith(".js"));

test("pages hold no script, style or handler of their own, which the content security policy would stop", () => {
    for (const name of names.filter((page) => page.endsWith(".html"))) {
        const text = text_of(name);
        assert.doesNotMatch(text, /<script(?![^>]*\ssrc=)/, name);
        assert.doesNotMatch(text, /<style|\sstyle=|\son\w+=|javascript:/, name);
        for (const [, file] of text.matchAll(/(?:src|href)="([^"]+)"/g)) {
            assert.match(file, /^\/[a-z_]+\.(js|css|svg)$/, name);
            assert.ok(file === "/chart.js" || names.includes(file.slice(1)), `${name} asks for ${file}`);
        }
    }
});

test("no page makes HTML of texts, or asks elsewhere", () => {
    for (const name of scripts) {
        const text = text_of(name);
        assert.doesNotMatch(text, /innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function/, name);
        assert.doesNotMatch(text, /https?:\/\//, name);
        for (const [, file] of text.matchAll(/from "\.\/([^"]+)"/g)) assert.ok(names.includes(file), `${name} imports ${file}`);
    }
});

test("every word that a telephone says has a phrase, and every phrase is said", () => {
    const said = new Set(scripts.flatMap((name) => [...text_of(name).matchAll(/\bphone_\w+/g)].map(([id]) => id)));
    const english = page_words("en");
    assert.deepEqual([...said].sort(), Object.keys(english).sort());
    assert.deepEqual(Object.keys(page_words("de")), Object.keys(english));
});

test("nothing is coloured: styles hold greys only", () => {
    for (const name of names.filter((file) => /\.(css|svg)$/.test(file))) {
        for (const [colour, digits] of text_of(name).matchAll(/#([0-9a-f]{3,8})\b/g)) {
            const wide = digits.length < 6 ? [...digits].map((digit) => digit + digit).join("") : digits;
            assert.ok(wide.slice(0, 2) === wide.slice(2, 4) && wide.slice(2, 4) === wide.slice(4, 6), `${name}: ${colour}`);
        }
    }
});
