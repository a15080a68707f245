// The list of the last scans: one line each at once when it is scanned, and what became of it when the desk has answered.
import { button, element } from "./element.js";

const SIGNS = { good: "✓", question: "?", stop: "■", wait: "…" };
const SHOWN = 12;
const KEPT = "last scans";

export class ScanList {
	// Newest first: {request, kind, title, place, entry, query, decision, words, undone}, and the picture's address while it
	// is sent.
	#rows = [];

	constructor({ post, get, storage = null }) {
		Object.assign(this, { post, get, storage });
		this.#rows = JSON.parse(storage?.getItem(KEPT) ?? "[]");
	}

	showIn(place) {
		this.place = place;
		this.#show();
		this.lookAtQueries();
	}

	// A query may be decided on the pile or by another station, and that be taken back: its line says how it stands.
	async lookAtQueries() {
		const asking = this.#rows.filter(({ query, kind, undone }) => query && kind === "question" && !undone);
		if (!asking.length) return;
		const { ok, body } = await this.get(`/api/queries?${asking.map(({ query }) => `query=${query}`).join("&")}`);
		if (!ok) return;
		for (const row of asking) row.decision = body.answers[row.query];
		this.#show();
	}

	// Keeps of the lines that wait only those whose scans wait still.
	keepWaiting(requests) {
		this.#rows = this.#rows.filter(({ kind, request }) => kind !== "wait" || requests.includes(request));
		this.#show();
	}

	begin(request, title, picture = null) {
		this.#rows.unshift({ request, kind: "wait", title, picture: picture && URL.createObjectURL(picture) });
		this.#show();
	}

	answered(request, answers) {
		const rows = answers.map(({ kind, title, place, entry, query, sentence }) => ({
			...{ request, kind, title: title ?? sentence, entry, query },
			place: (place ?? []).slice(-2).join(" · "),
		}));
		this.#replace(request, rows.length ? rows : [{ request, kind: "stop", title: "The desk gave no answer." }]);
	}

	failed(request, sentence) {
		this.#replace(request, [{ request, kind: "stop", title: this.#find(request)?.title ?? "", words: sentence }]);
	}

	// More is to be said of a scan's line.
	told(request, words) {
		Object.assign(this.#find(request) ?? {}, { words });
		this.#show();
	}

	// A step that was no scan of the list: an inspection, a shelving.
	note(row) {
		this.#rows.unshift({ kind: "good", ...row });
		this.#show();
	}

	// A query was decided: its line says how.
	decided(query, answers) {
		const row = this.#rows.find((each) => String(each.query) === String(query));
		if (row) this.answered(row.request, answers);
	}

	undone(entry) {
		for (const row of this.#rows) if (String(row.entry) === String(entry)) row.undone = true;
		this.#show();
	}

	#find(request) {
		return this.#rows.find((row) => row.request === request);
	}

	#replace(request, rows) {
		const old = this.#find(request);
		if (old?.picture) URL.revokeObjectURL(old.picture);
		const nth = old ? this.#rows.indexOf(old) : 0;
		this.#rows = this.#rows.filter((row) => row.request !== request);
		this.#rows.splice(nth, 0, ...rows);
		this.#show();
	}

	#show() {
		this.#rows.length = Math.min(this.#rows.length, SHOWN);
		this.place.replaceChildren(...this.#rows.map((row) => this.#line(row)));
		const heading = document.getElementById(this.place.getAttribute("aria-labelledby"));
		if (heading) heading.hidden = this.#rows.length === 0;
		this.storage?.setItem(KEPT, JSON.stringify(this.#rows.map(({ picture, ...row }) => row)));
	}

	#line(row) {
		const kind = row.decision ? "good" : row.kind;
		const line = element("li", { className: "row" });
		if (row.picture) line.append(element("img", { src: row.picture, alt: "", className: "tiny" }));
		line.append(element("span", { className: `mark ${kind}`, textContent: SIGNS[kind] }));
		const words = element("span", { className: "grow", dir: "auto" });
		if (row.place) words.append(element("b", { textContent: row.place }), " ");
		words.append(element("span", { className: "title", textContent: row.title || "A picture" }));
		const more = row.undone ? "taken back" : (row.words ?? { wait: "waits for its answer" }[row.kind]);
		if (more) words.append(" ", element("span", { className: "quiet small", textContent: more }));
		const query = `query ${row.query}`;
		if (row.decision)
			words.append(" ", element("span", { className: "small", textContent: `${query}: ${row.decision}` }));
		else if (row.query && kind === "question" && !row.undone) {
			words.append(" ", element("a", { href: `/pile/${row.query}`, textContent: query }));
		}
		line.append(words);
		if (row.entry && !row.undone && !row.decision) line.append(this.#undo(row));
		return line;
	}

	#undo(row) {
		const undo = async () => {
			pressed.disabled = true;
			const { ok, body } = await this.post("/api/undo", { entry: String(row.entry) });
			if (ok && body.kind === "good") row.undone = true;
			else row.words = body.sentence ?? "The desk did not answer. Press again when it is back.";
			this.#show();
		};
		const pressed = button("Undo", undo, "small");
		pressed.setAttribute("aria-label", `Undo: ${row.title}`);
		return pressed;
	}
}
