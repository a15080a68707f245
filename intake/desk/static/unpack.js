// The unpacking page: scan, scan, scan. Whatever comes in goes through the outbox and is answered in one place.
import { AnswerPanel } from "./answer.js";
import { Camera } from "./camera.js";
import { reached } from "./events.js";
import { Inspection } from "./inspection.js";
import { Outbox } from "./outbox.js";
import { OutboxStore } from "./outbox_store.js";
import { newId, post, writing } from "./request.js";
import { listen } from "./scanner.js";
import { signal, soundButton } from "./signal.js";
import { typing } from "./typing.js";
import { WaitingList } from "./waiting.js";

const at = (id) => document.getElementById(id);
const { box } = at("bench").dataset;
const place = at("answer");
const text = at("text");
const toText = () => text.focus({ preventScroll: true });

// Answers, and how long one took from a shutter, in milliseconds since the page began.
const answers = new AnswerPanel(place, { post, signal, onDone: toText, hold: () => inspection.hold() });
function show(answer, shutter) {
	answers.show(answer);
	if (!(shutter > 0) || !camera.running) place.scrollIntoView({ block: "nearest" });
	if (shutter > 0) {
		requestAnimationFrame(() => performance.measure("answer", { start: shutter, end: performance.now() }));
	}
}

// What was scanned, on its way to the desk.
const outbox = new Outbox(new OutboxStore(), post, {
	onAnswer(answer, scan) {
		reached(true);
		show(answer, scan.hasPicture ? scan.at - performance.timeOrigin : 0);
	},
	onRefused: (sentence) => answers.stop(sentence),
	onFailure({ status, body }) {
		reached(status !== 0);
		waits(status ? (body.sentence ?? "") : "The desk cannot be reached.", status === 401);
	},
	onWaiting: () => waits(),
	onChange: () => waiting.show(),
});
const waiting = new WaitingList(at("kept"), outbox);
// Says at once, to eye and ear, that something waits, and who writes to the library meanwhile.
async function waits(sentence, pairs) {
	signal("wait");
	await waiting.showWhy(sentence ?? "", pairs);
	if (sentence === undefined) await waiting.showWhy(await writing());
}
const take = (number) => outbox.add({ box, text: number });
const takePicture = async (picture, shutter) =>
	outbox.add({ box, at: performance.timeOrigin + shutter }, { bytes: await picture.arrayBuffer(), type: picture.type });

// Typing and handheld scanners.
at("entry").addEventListener("submit", (event) => {
	event.preventDefault();
	const typed = help.chosen() ?? text.value.trim();
	text.value = "";
	help.clear();
	if (typed) take(typed);
	else inspection.open();
});
const help = typing(text, at("titles"), at("help"), (number) => {
	text.value = "";
	take(number);
});
const burst = listen(document, text, take);
const inspection = new Inspection(place, at("held"), { post, newId, signal, burst, onDone: toText });

// Pictures from the phone's own camera.
at("file").addEventListener("change", async (event) => {
	const shutter = performance.now();
	const files = [...event.target.files];
	event.target.value = "";
	for (const file of files) await takePicture(file, shutter);
});

// The live camera.
const camera = new Camera({
	box,
	onAnswer: show,
	onRefused(reason) {
		at("camera-message").textContent = reason;
		at("camera-message").hidden = false;
	},
	onStopped() {
		at("camera").textContent = "Live camera";
		at("phone-camera").hidden = false;
		for (const id of ["shutter", "again", "light"]) at(id).hidden = true;
	},
});
let cameraOn = false;
async function startCamera() {
	at("camera-message").hidden = true;
	if (!(await camera.start())) return;
	at("camera").textContent = "Stop camera";
	at("phone-camera").hidden = true;
	at("shutter").hidden = false;
	at("again").hidden = false;
	at("light").hidden = !camera.hasLight;
}
at("camera").addEventListener("click", () => {
	cameraOn = !camera.running;
	if (camera.running) camera.stop();
	else startCamera();
});
at("shutter").addEventListener("click", async () => {
	const shutter = performance.now();
	const picture = await camera.frame();
	if (picture) takePicture(picture, shutter);
});
at("again").addEventListener("click", () => camera.oneMore());
at("light").addEventListener("click", async (event) => {
	const on = event.target.getAttribute("aria-pressed") !== "true";
	await camera.light(on);
	event.target.setAttribute("aria-pressed", String(on));
});
document.addEventListener("visibilitychange", () => {
	if (document.hidden && camera.running) camera.stop();
	else if (!document.hidden && cameraOn && !camera.running) startCamera();
});

soundButton(at("sound"));
// Before the script ran, a press would have done nothing.
for (const id of ["camera", "take", "file"]) at(id).disabled = false;
window.addEventListener("online", () => outbox.retry());
window.addEventListener("offline", () => {
	reached(false);
	waiting.show();
});
document.addEventListener("desk:lost", () => signal("wait"));
document.addEventListener("desk:reached", () => outbox.retry());
outbox.store.opened.then(() => outbox.retry());
if (matchMedia("(hover: hover)").matches) text.focus();
