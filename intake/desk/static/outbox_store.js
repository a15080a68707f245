// Where scans wait: the browser's IndexedDB, so that neither a lost network nor a closed page loses one. A scan is
// {nth, request, at, box, text | hasPicture, failed?, refused?}. Its picture {bytes, type} lies in a store of its own under the
// same key, so that looking for the next scan reads no picture.

const NAME = "intake";
const VERSION = 2;
const SCANS = "sent";
const PICTURES = "pictures";

function upgrade(database, change, from) {
	const pictures = database.createObjectStore(PICTURES);
	if (from < 1) {
		database.createObjectStore(SCANS, { keyPath: "nth", autoIncrement: true });
		return;
	}
	// In version 1 the picture was a part of the scan.
	const asked = change.objectStore(SCANS).openCursor();
	asked.onsuccess = () => {
		const cursor = asked.result;
		if (!cursor) return;
		const { picture, type, shutter, ...scan } = cursor.value;
		if (picture) pictures.add({ bytes: picture, type }, cursor.key);
		cursor.update({ ...scan, hasPicture: Boolean(picture) });
		cursor.continue();
	};
}

const byTime = (a, b) => a.at - b.at;

export class OutboxStore {
	#database = null;
	// Scans that the browser could not keep, by a negative key: it has no room, or a private window keeps nothing.
	#remembered = new Map();
	#pictures = new Map();
	// Changes that could not be written: a scan as it is now, by its key; undefined if it was removed.
	#unwritten = new Map();

	// `opened` resolves when the database is open; `usable` also when it cannot be opened, or not yet because another tab
	// shows a page of an earlier version.
	constructor(factory = globalThis.indexedDB) {
		this.opened = new Promise((resolve) => {
			this.usable = this.#open(factory, resolve).catch(() => undefined);
		});
	}

	async #open(factory, resolve) {
		const asked = factory.open(NAME, VERSION);
		asked.onupgradeneeded = ({ oldVersion }) => upgrade(asked.result, asked.transaction, oldVersion);
		await new Promise((usable) => {
			asked.onsuccess = async () => {
				this.#database = asked.result;
				this.#database.onversionchange = () => {
					this.#database.close();
					this.#database = null;
				};
				usable();
				await this.#keepRemembered();
				resolve();
			};
			asked.onerror = usable;
			asked.onblocked = usable;
		});
	}

	// Whether scans outlive the page.
	get lasting() {
		return this.#remembered.size === 0;
	}

	async #keepRemembered() {
		for (const [nth, { nth: _, ...scan }] of [...this.#remembered]) {
			const key = await this.#write(scan, this.#pictures.get(nth));
			if (key === undefined) return;
			this.#forget(nth);
		}
	}

	#forget(nth) {
		this.#pictures.delete(nth);
		return this.#remembered.delete(nth);
	}

	async #run(mode, work) {
		await this.usable;
		if (!this.#database) throw new Error("there is no database");
		return new Promise((resolve, reject) => {
			const change = this.#database.transaction([SCANS, PICTURES], mode);
			const asked = work(change.objectStore(SCANS), change.objectStore(PICTURES));
			change.oncomplete = () => resolve(asked.result);
			change.onabort = () => reject(change.error);
		});
	}

	#write(scan, picture) {
		return this.#run("readwrite", (scans, pictures) => {
			const asked = scans.add(scan);
			asked.onsuccess = () => picture && pictures.add(picture, asked.result);
			return asked;
		}).catch(() => undefined);
	}

	async add(scan, picture) {
		const whole = { ...scan, hasPicture: Boolean(picture) };
		let nth = await this.#write(whole, picture);
		if (nth === undefined) {
			nth = -1 - this.#remembered.size;
			while (this.#remembered.has(nth)) nth -= 1;
			this.#remembered.set(nth, { ...whole, nth });
			if (picture) this.#pictures.set(nth, picture);
		}
		return { ...whole, nth };
	}

	#current(scan) {
		return this.#unwritten.has(scan.nth) ? this.#unwritten.get(scan.nth) : scan;
	}

	// The scan to send next: the first that the desk has not refused.
	async next() {
		let first;
		await this.#run("readonly", (scans) => {
			const asked = scans.openCursor();
			asked.onsuccess = () => {
				const cursor = asked.result;
				if (!cursor) return;
				const scan = this.#current(cursor.value);
				if (scan && !scan.refused) first = scan;
				else cursor.continue();
			};
			return asked;
		}).catch(() => undefined);
		const remembered = [...this.#remembered.values()].find((scan) => !scan.refused);
		return [first, remembered].filter(Boolean).sort(byTime)[0];
	}

	// Every scan that waits or was refused, in order.
	async all() {
		const kept = await this.#run("readonly", (scans) => scans.getAll()).catch(() => undefined);
		const now = (kept ?? []).map((scan) => this.#current(scan)).filter(Boolean);
		return [...now, ...this.#remembered.values()].sort(byTime);
	}

	async picture({ nth }) {
		return this.#pictures.get(nth) ?? this.#run("readonly", (_, pictures) => pictures.get(nth)).catch(() => undefined);
	}

	async change(scan) {
		if (this.#remembered.has(scan.nth)) this.#remembered.set(scan.nth, scan);
		else await this.#record(scan.nth, scan, (scans) => scans.put(scan));
	}

	async remove({ nth }) {
		if (this.#forget(nth)) return;
		await this.#record(nth, undefined, (scans, pictures) => {
			pictures.delete(nth);
			return scans.delete(nth);
		});
	}

	async #record(nth, scan, work) {
		this.#unwritten.set(nth, scan);
		const written = () => this.#unwritten.delete(nth);
		await this.#run("readwrite", work).then(written, () => undefined);
	}
}
