// SPDX-License-Identifier: MIT
// A desk, and an encoder and decoder, made with npm's `osc`: nothing of OSC or SLIP is done here.
//
//   node npm_peer.js desk udp TABLE   answers over UDP as TABLE says, on a port that the kernel chooses
//   node npm_peer.js desk tcp TABLE   the same over TCP with SLIP
//   node npm_peer.js codec            lines "encode MESSAGES" and "decode HEX" on standard input
//
// Messages are in the line format of lines.py. A table has on each line a question and, behind "=>",
// its answers; several answers travel in one bundle. What is not in the table meets silence.
"use strict";

const fs = require("fs");
const net = require("net");
const readline = require("readline");
const Long = require("long");
const osc = require("osc");

const NEXT = "\t=>\t";
const OPTIONS = { metadata: true };

const toHex = (bytes) => Buffer.from(bytes).toString("hex");
const fromHex = (hex) => Uint8Array.from(Buffer.from(hex, "hex"));

const fromText = (text) => Buffer.from(text, "hex").toString("utf8");
const word = (number) => [number >>> 24, (number >>> 16) & 255, (number >>> 8) & 255, number & 255];
const number = (bytes) => Buffer.from(bytes).readUInt32BE(0);

// Languages spell these in their own ways.
const toNumber = (text) => (/inf/.test(text) ? Number(text.replace("inf", "Infinity")) : Number(text));
const fromNumber = (value) =>
    Object.is(value, -0) ? "-0" : String(value).replace("Infinity", "inf").replace("NaN", "nan");

const identity = (value) => value;
const nothing = () => "";

// By type tag: from the line to what the package takes, and from what it gives to the line.
const TYPES = {
    i: [Number, String],
    h: [(text) => Long.fromString(text), String],
    f: [toNumber, fromNumber],
    d: [toNumber, fromNumber],
    s: [fromText, toHex],
    S: [fromText, toHex],
    b: [fromHex, toHex],
    t: [
        (text) => ({ raw: [Number(BigInt(text) >> 32n), Number(BigInt(text) & 0xffffffffn)] }),
        (tag) => String((BigInt(tag.raw[0]) << 32n) | BigInt(tag.raw[1])),
    ],
    c: [(text) => String.fromCharCode(Number(text)), (char) => String(char.charCodeAt(0))],
    m: [(text) => Uint8Array.from(word(Number(text))), (bytes) => String(number(bytes))],
    r: [
        (text) => Object.fromEntries(word(Number(text)).map((byte, i) => ["rgba"[i], i === 3 ? byte / 255 : byte])),
        (colour) => String(number([colour.r, colour.g, colour.b, Math.round(colour.a * 255)])),
    ],
    T: [identity, nothing],
    F: [identity, nothing],
    N: [identity, nothing],
    I: [identity, nothing],
};

// The package gives and takes an array as an array of arguments.
function argumentsOf(words) {
    const outer = [];
    let args = outer;
    for (const each of words) {
        if (each === "[") {
            args = [];
            outer.push(args);
        } else if (each === "]") {
            args = outer;
        } else {
            args.push({ type: each[0], value: TYPES[each[0]][0](each.slice(1)) });
        }
    }
    return outer;
}

function messageOf(text) {
    const [address, ...words] = text.split("\t");
    return { address, args: argumentsOf(words) };
}

// One message as it is, several as a bundle.
function packetOf(line) {
    const messages = line.split(NEXT).map(messageOf);
    return messages.length === 1 ? messages[0] : { timeTag: { raw: [0, 1] }, packets: messages };
}

function wordsOf(args) {
    return args.flatMap((each) =>
        Array.isArray(each) ? ["[", ...wordsOf(each), "]"] : [each.type + TYPES[each.type][1](each.value)]);
}

function messageText(message) {
    return [message.address, ...wordsOf(message.args)].join("\t");
}

function packetText(packet) {
    return packet.packets ? packet.packets.map(packetText).join(NEXT) : messageText(packet);
}

// ---- the two uses ----

function readTable(path) {
    const answers = new Map();
    for (const line of fs.readFileSync(path, "utf8").split("\n").filter(Boolean)) {
        const end = line.indexOf(NEXT);
        answers.set(line.slice(0, end), packetOf(line.slice(end + NEXT.length)));
    }
    return answers;
}

// `to`: where the message came from; a stream needs none.
function serve(port, answers) {
    port.on("error", (error) => console.error(String(error)));
    port.on("message", (message, _, from) => {
        const answer = answers.get(messageText(message));
        if (answer) {
            port.send(answer, ...(from ? [from.address, from.port] : []));
        }
    });
}

function deskUdp(answers) {
    const port = new osc.UDPPort({ localAddress: "127.0.0.1", localPort: 0, ...OPTIONS });
    serve(port, answers);
    port.open();
}

function deskTcp(answers) {
    const server = net.createServer((socket) => {
        serve(new osc.TCPSocketPort({ socket, ...OPTIONS }), answers);
    });
    server.listen(0, "127.0.0.1");
}

function codec() {
    readline.createInterface({ input: process.stdin }).on("line", (line) => {
        const [use, rest] = [line.slice(0, 6), line.slice(7)];
        console.log(use === "encode" ? toHex(osc.writePacket(packetOf(rest), OPTIONS))
                                     : packetText(osc.readPacket(fromHex(rest), OPTIONS)));
    });
}

process.on("SIGINT", () => process.exit(0));

const [use, transport, table] = process.argv.slice(2);
if (use === "desk") {
    (transport === "tcp" ? deskTcp : deskUdp)(readTable(table));
} else {
    codec();
}
