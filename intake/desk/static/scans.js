// Scans on any page: each is listed at once, sent through the outbox where it changes something, answered in one place.
import { AnswerPanel } from "./answer.js";
import { cropInto } from "./crop.js";
import { reached } from "./events.js";
import { Inspection, rename } from "./inspection.js";
import { Outbox } from "./outbox.js";
import { OutboxStore } from "./outbox_store.js";
import { newId, post, writing } from "./request.js";
import { ScanList } from "./scan_list.js";
import { labelKind, listen } from "./scanner.js";
import { signal } from "./signal.js";
import { Speech } from "./speech.js";
import { typing } from "./typing.js";
import { WaitingList } from "./waiting.js";

const at = (id) => document.getElementById(id);
const HELD = "scanned after a label";

// What is scanned on a page goes to its box, or onto its shelf, or is only shown.
export function takeScans({ box = "", shelf = "", toField = false, onShown = () => undefined }) {
	const [place, text] = [at("answer"), at("text")];
	const toText = () => toField && text.focus({ preventScroll: true });
	const pictures = new Map();
	// What is scanned after a label waits until it is known where the label leads: it may belong to the page there.
	let held = JSON.parse(sessionStorage.getItem(HELD) ?? "[]");
	let following = false;

	const speech = new Speech({ storage: globalThis.localStorage });
	if (at("speech")) speech.button(at("speech"));
	const list = new ScanList(at("last"), { post, storage: globalThis.sessionStorage });
	const panel = new AnswerPanel(place, {
		...{ post, newId, signal, onDone: toText, hold: () => inspection.hold() },
		onShow(answers) {
			if (!toField) rename(place, "answer"); // the page may have a form with the same names
			speech.say(answers);
		},
		onResult({ undo, query, copy, body }) {
			if (undo) list.undone(undo);
			else if (query) list.decided(query, body.answers ?? []);
			else if (body.answers) list.answered(newId(), body.answers);
			else list.note({ title: copy, kind: body.kind, place: body.place?.[0], entry: body.entry });
		},
	});

	// Shows answers, or goes where a label leads, unless something that was begun would be left.
	function show(answer, picture = null, shutter = 0) {
		const [first] = answer.body.answers ?? [];
		if (first?.opens && !(first.shelf && panel.lastCopy) && !inspection.begun) {
			signal("good");
			location.assign(first.opens);
			return;
		}
		following = false;
		place.hidden = false;
		panel.show(answer);
		cropInto(place, answer.body, picture);
		onShown(place, shutter);
	}

	const outbox = new Outbox(new OutboxStore(), post, {
		onAnswer(answer, scan) {
			reached(true);
			list.answered(scan.request, answer.body.answers ?? []);
			show(answer, pictures.get(scan.request), scan.hasPicture ? scan.at - performance.timeOrigin : 0);
			pictures.delete(scan.request);
		},
		onRefused(sentence, scan) {
			list.failed(scan.request, sentence);
			place.hidden = false;
			panel.stop(sentence);
		},
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

	// Looking changes nothing: where the desk does not answer, nothing has to be kept.
	async function look(request, scanned) {
		const answer = await post("/api/scan", { text: scanned, request });
		if (answer.ok) {
			list.answered(request, answer.body.answers);
			show(answer);
		} else {
			following = false;
			const sentence = answer.body.sentence ?? "The desk cannot be reached. Scan it again when it is back.";
			list.failed(request, sentence);
			place.hidden = false;
			panel.stop(sentence);
			onShown(place);
		}
		await takeHeld();
	}

	function hold(scans) {
		held = scans;
		sessionStorage.setItem(HELD, JSON.stringify(held));
	}

	async function takeHeld() {
		while (held.length && !following) {
			const [scanned, ...more] = held;
			hold(more);
			await take(scanned);
		}
	}

	async function take(scanned) {
		if (following) {
			hold([...held, scanned]);
			return;
		}
		const request = newId();
		list.begin(request, scanned);
		following = labelKind(scanned) !== undefined;
		if (following || !(box || shelf)) await look(request, scanned);
		else await outbox.add({ request, box, shelf, text: scanned });
	}

	// Lists all pictures at once, then sends them in order.
	async function takePictures(files, shutter) {
		const scans = files.map((picture) => ({ request: newId(), picture }));
		for (const { request, picture } of scans) {
			list.begin(request, "", picture);
			pictures.set(request, picture);
		}
		for (const { request, picture } of scans) {
			const scan = { request, box, at: performance.timeOrigin + shutter };
			outbox.add(scan, { bytes: await picture.arrayBuffer(), type: picture.type });
		}
	}

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
	const burst = listen(document, take, { field: toField ? text : null });
	const inspection = new Inspection(place, at("held"), {
		...{ post, newId, signal, burst, onDone: toText },
		onSaved: ({ copy, entry, grade }) => entry && list.note({ title: `${copy}: ${grade || "inspected"}`, entry }),
	});
	document.addEventListener("keydown", (event) => {
		const clean = place.querySelector("[data-clean]") ?? document.querySelector("[data-clean]");
		if (event.key === "F2") clean?.requestSubmit();
	});

	document.addEventListener("desk:reached", () => outbox.retry());
	window.addEventListener("online", () => outbox.retry());
	outbox.store.opened.then(async () => {
		list.keepWaiting((await outbox.store.all()).map(({ request }) => request));
		await takeHeld();
		await outbox.retry();
	});
	return { take, takePictures, show, list, waiting, toText };
}
