// Scans on any page: each is listed at once, sent through the outbox where it changes something, answered in one place.
import { AnswerPanel } from "./answer.js";
import { cropInto } from "./crop.js";
import { at } from "./element.js";
import { reached, settled } from "./events.js";
import { Inspection, rename } from "./inspection.js";
import { Outbox } from "./outbox.js";
import { OutboxStore } from "./outbox_store.js";
import { open, pageOf } from "./page.js";
import { get, newId, post, writing } from "./request.js";
import { ScanList } from "./scan_list.js";
import { ScanQueue } from "./scan_queue.js";
import { labelKind, listen } from "./scanner.js";
import { signal } from "./signal.js";
import { Speech } from "./speech.js";
import { typing } from "./typing.js";
import { WaitingList } from "./waiting.js";

// Who pressed a link and is still on the page after this has not left it.
const STAYED_MS = 4000;
const SETTLE_MS = 300;

// What outlasts a page: its keys and pictures, what waits, what was answered. The page that stands shows it.
let here = null;
let burst = null;
const pictures = new Map();
const speech = new Speech({ storage: localStorage });
const list = new ScanList({ post, get, storage: sessionStorage });

const outbox = new Outbox(new OutboxStore(), post, {
	onAnswer(answer, scan) {
		reached(true);
		list.answered(scan.request, answer.body.answers ?? []);
		here.show(answer, scan.request, pictures.get(scan.request), scan.hasPicture ? scan.at - performance.timeOrigin : 0);
		pictures.delete(scan.request);
	},
	onRefused: (sentence, { request }) => refuse(request, sentence),
	onFailure({ status, body }) {
		reached(status !== 0);
		waits(status ? (body.sentence ?? "") : "The desk cannot be reached.", status === 401);
	},
	onWaiting: () => waits(),
	onChange: () => here.waiting.show(),
});

// Says at once, to eye and ear, that something waits, and who writes to the library meanwhile.
async function waits(sentence, pairs) {
	signal("wait");
	await here.waiting.showWhy(sentence ?? "", pairs);
	if (sentence === undefined) await here.waiting.showWhy(await writing());
}

// Looking changes nothing: where the desk does not answer, nothing has to be kept. Returns whether it did.
async function look(request, text) {
	const answer = await post("/api/scan", { text, request });
	if (answer.ok) {
		list.answered(request, answer.body.answers);
		return here.show(answer, request);
	}
	refuse(request, answer.body.sentence ?? "The desk cannot be reached. Scan it again when it is back.");
	return false;
}

function refuse(request, sentence) {
	list.failed(request, sentence);
	here.stop(sentence);
}

const queue = new ScanQueue({
	storage: sessionStorage,
	async take({ request, text, place }) {
		if (labelKind(text)) {
			await outbox.idle; // a shelf's label may be meant for the book before it
			return look(request, text);
		}
		if (!place.box && !place.shelf) await look(request, text);
		else await outbox.keep({ request, ...place, text });
		return true;
	},
	onLost: ({ request, text }) =>
		refuse(request, `${text} was not taken: the label before it opened no page. Scan it again where it belongs.`),
});

// Every scan is listed at once and taken in its turn.
function take(scanned) {
	list.begin(queue.add(scanned), scanned);
	return queue.work();
}

// A part of a number is none: it is said, never taken.
function tellCut(heard) {
	const request = newId();
	list.begin(request, heard);
	const part = heard ? `Of a scan only “${heard}” was heard` : "Only the end of a scan was heard";
	refuse(request, `${part}, as this page was just being opened. Scan it again.`);
}

// The latest link that was pressed.
let pressed = null;

// A link opens its page in place, so that a scan meanwhile is heard; where it cannot, the browser goes there and tells why.
async function follow(event) {
	const address = pageOf(event);
	if (!address) return;
	event.preventDefault();
	pressed = event;
	queue.leave();
	const stands = await open(address, () => pressed !== event);
	if (pressed !== event) return;
	if (stands) queue.arrive(true);
	else if (stands === false) location.assign(address);
}

// Listens, once a page is there that shows what comes of it.
function listenOnce() {
	if (burst) return;
	burst = listen(document, take, { field: () => here.field, onCut: tellCut });
	document.addEventListener("keydown", ({ key }) => {
		const clean = document.querySelector("#answer [data-clean]") ?? document.querySelector("[data-clean]");
		if (key === "F2") clean?.requestSubmit();
	});
	document.addEventListener("click", follow);
	document.addEventListener("desk:reached", () => outbox.retry());
	document.addEventListener(
		"desk:changed",
		settled(() => list.lookAtQueries(), SETTLE_MS),
	);
	window.addEventListener("online", () => outbox.retry());
	// What is scanned once a link was pressed is meant for the page that it leads to, unless it leads to a file.
	window.addEventListener("beforeunload", () => {
		queue.leave();
		setTimeout(() => queue.arrive(true), STAYED_MS);
	});
	outbox.store.opened.then(async () => {
		const waits = (await outbox.store.all()).map(({ request }) => request);
		list.keepWaiting([...waits, ...queue.requests]);
		await outbox.retry();
	});
	queue.work();
}

// What is scanned on a page goes to its box, or onto its shelf, or is only shown.
export function takeScans({ box = "", shelf = "", toField = false, onShown = () => undefined }) {
	const [place, text] = [at("answer"), at("text")];
	const toText = () => toField && text.focus({ preventScroll: true });
	if (at("speech")) speech.button(at("speech"));
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

	// Shows answers, or opens where a label leads, unless something that was begun would be left. Resolves to whether what is
	// scanned after a label is known to belong somewhere.
	async function show(answer, request, picture = null, shutter = 0) {
		const [first] = answer.body.answers ?? [];
		// A shelf may be meant for the book before it, but on a shelf's own page that book stands already.
		const isOffered = Boolean(first?.shelf && panel.lastCopy && !shelf);
		if (first?.opens && !isOffered && !inspection.begun) {
			queue.leave();
			const stands = await open(first.opens, () => inspection.begun);
			if (stands) signal("good");
			if (stands !== null) queue.arrive(stands);
			if (stands !== false) return true;
			if (!inspection.begun) {
				refuse(request, `The page of ${first.opens.split("/").at(-1)} could not be opened. Scan the label again.`);
				return false;
			}
		}
		place.hidden = false;
		panel.show(answer);
		cropInto(place, answer.body, picture);
		onShown(place, shutter);
		if (isOffered) list.told(request, `not opened: ${panel.lastCopy} may stand there`);
		return isOffered;
	}

	function stop(sentence) {
		place.hidden = false;
		panel.stop(sentence);
		onShown(place);
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
	queue.place = { box, shelf };
	list.showIn(at("last"));
	here = { show, stop, waiting: new WaitingList(at("kept"), outbox), field: toField ? text : null };
	const inspection = new Inspection(place, at("held"), {
		...{ post, newId, signal, isScanned: (time) => burst.includes(time), onDone: toText },
		onSaved: ({ copy, entry, grade }) => entry && list.note({ title: `${copy}: ${grade || "inspected"}`, entry }),
	});
	here.waiting.show();
	listenOnce();
	return { takePictures, list, waiting: here.waiting, show: (...answer) => here.show(...answer) };
}
