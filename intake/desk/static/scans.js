// Scans on any page: each is listed at once, sent through the outbox where it changes something, answered in one place.
import { AnswerPanel } from "./answer.js";
import { cropInto } from "./crop.js";
import { at } from "./element.js";
import { reached } from "./events.js";
import { Inspection, rename } from "./inspection.js";
import { Outbox } from "./outbox.js";
import { OutboxStore } from "./outbox_store.js";
import { newId, post, writing } from "./request.js";
import { ScanList } from "./scan_list.js";
import { ScanQueue } from "./scan_queue.js";
import { labelKind, listen } from "./scanner.js";
import { signal } from "./signal.js";
import { Speech } from "./speech.js";
import { typing } from "./typing.js";
import { WaitingList } from "./waiting.js";

// A page hears nothing while it is opened: it is left only when nothing was scanned for so long.
const QUIET_MS = 400;

// What is scanned on a page goes to its box, or onto its shelf, or is only shown.
export function takeScans({ box = "", shelf = "", toField = false, onShown = () => undefined }) {
	const [place, text] = [at("answer"), at("text")];
	const toText = () => toField && text.focus({ preventScroll: true });
	const pictures = new Map();
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

	// Shows answers, or goes where a label leads, unless something that was begun would be left. Returns whether what is
	// scanned after a label is known to belong somewhere.
	function show(answer, picture = null, shutter = 0) {
		const [first] = answer.body.answers ?? [];
		if (first?.opens && !(first.shelf && panel.lastCopy) && !inspection.begun) {
			signal("good");
			open(first.opens);
			return true;
		}
		place.hidden = false;
		panel.show(answer);
		cropInto(place, answer.body, picture);
		onShown(place, shutter);
		return Boolean(first?.shelf && panel.lastCopy);
	}

	// Goes to a page when no key comes any more; scans made until then are taken there.
	function open(address) {
		at("opening").textContent = `Opening ${decodeURIComponent(address.split("/").at(-1))}, wait …`;
		queue.leave();
		const go = () => {
			const wait = QUIET_MS - burst.silence;
			if (wait > 0) setTimeout(go, wait);
			else location.assign(address);
		};
		go();
	}
	window.addEventListener("pageshow", ({ persisted }) => {
		if (!persisted) return;
		at("opening").textContent = "";
		queue.stay();
	});

	const outbox = new Outbox(new OutboxStore(), post, {
		onAnswer(answer, scan) {
			reached(true);
			list.answered(scan.request, answer.body.answers ?? []);
			show(answer, pictures.get(scan.request), scan.hasPicture ? scan.at - performance.timeOrigin : 0);
			pictures.delete(scan.request);
		},
		onRefused: (sentence, { request }) => refuse(request, sentence),
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

	// Looking changes nothing: where the desk does not answer, nothing has to be kept. Returns whether it did.
	async function look(request, scanned) {
		const answer = await post("/api/scan", { text: scanned, request });
		if (answer.ok) {
			list.answered(request, answer.body.answers);
			return show(answer);
		}
		refuse(request, answer.body.sentence ?? "The desk cannot be reached. Scan it again when it is back.");
		return false;
	}

	function refuse(request, sentence) {
		list.failed(request, sentence);
		place.hidden = false;
		panel.stop(sentence);
		onShown(place);
	}

	const queue = new ScanQueue(
		{ box, shelf },
		{
			storage: globalThis.sessionStorage,
			async take({ request, text: scanned, place: at }) {
				if (labelKind(scanned)) {
					await outbox.idle; // a shelf's label may be meant for the book before it
					return look(request, scanned);
				}
				if (!at.box && !at.shelf) await look(request, scanned);
				else await outbox.keep({ request, ...at, text: scanned });
				return true;
			},
			onLost: ({ request, text: scanned }) =>
				refuse(
					request,
					`${scanned} was not taken: the label before it opened no page. Scan it again where it belongs.`,
				),
		},
	);

	// Every scan is listed at once and taken in its turn.
	function take(scanned) {
		list.begin(queue.add(scanned), scanned);
		return queue.work();
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
	// A part of a number is none: it is said, never taken.
	function tellCut(heard) {
		const request = newId();
		list.begin(request, heard);
		const part = heard ? `Of a scan only “${heard}” was heard` : "Only the end of a scan was heard";
		refuse(request, `${part}, as this page was just being opened. Scan it again.`);
	}
	const burst = listen(document, take, { field: toField ? text : null, onCut: tellCut });
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
		const waits = (await outbox.store.all()).map(({ request }) => request);
		list.keepWaiting([...waits, ...queue.requests]);
		await outbox.retry();
	});
	queue.work();
	return { take, takePictures, show, list, waiting, toText };
}
