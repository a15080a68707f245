// The store of waiting scans, on an implementation of IndexedDB that is not ours (fake-indexeddb, which runs the W3C's
// web platform tests).
import assert from "node:assert/strict";
import { test } from "node:test";
import { IDBFactory } from "fake-indexeddb";
import { OutboxStore } from "../../../intake/desk/static/outbox_store.js";

const bytes = (...values) => Uint8Array.from(values).buffer;
const scan = (request, at = 0) => ({ box: "B1-56", text: request, request, at });
const requests = async (store) => (await store.all()).map((each) => each.request);

// A database as the page of version 1 left it: one store, the picture a part of the scan. Resolves to its connection.
function versionOne(factory, scans) {
	return new Promise((resolve, reject) => {
		const asked = factory.open("intake", 1);
		asked.onupgradeneeded = () => asked.result.createObjectStore("sent", { keyPath: "nth", autoIncrement: true });
		asked.onerror = () => reject(asked.error);
		asked.onsuccess = () => {
			const change = asked.result.transaction("sent", "readwrite");
			for (const each of scans) change.objectStore("sent").add(each);
			change.oncomplete = () => resolve(asked.result);
		};
	});
}

const YESTERDAY = [
	{ box: "B1-56", request: "a", at: 10, text: "9789999812252" },
	{ box: "B1-56", request: "b", at: 20, picture: bytes(1, 2, 3), type: "image/jpeg", shutter: 4321.5 },
	{ box: "B1-56", request: "c", at: 30, text: "9789999812429", refused: "This box is not on the trolley." },
	{ box: "B1-56", request: "d", at: 40, picture: bytes(4, 5), type: "" },
];

// Lets a test look at every transaction that is opened, before it is.
function watch(factory, onTransaction) {
	const open = factory.open.bind(factory);
	factory.open = (...asked) => {
		const request = open(...asked);
		request.addEventListener("success", () => {
			const database = request.result;
			const transaction = database.transaction.bind(database);
			database.transaction = (names, mode) => onTransaction(transaction, names, mode);
		});
		return request;
	};
}

// Counts the reads of each object store.
function countReads(factory) {
	const reads = {};
	watch(factory, (transaction, ...asked) => {
		const change = transaction(...asked);
		const objectStore = change.objectStore.bind(change);
		change.objectStore = (name) => {
			const store = objectStore(name);
			for (const method of ["get", "getAll", "openCursor"]) {
				const read = store[method].bind(store);
				store[method] = (...key) => {
					reads[name] = (reads[name] ?? 0) + 1;
					return read(...key);
				};
			}
			return store;
		};
		return change;
	});
	return reads;
}

test("a scan and a picture outlive the page, in order", async () => {
	const factory = new IDBFactory();
	const store = new OutboxStore(factory);
	await store.add(scan("a", 1));
	await store.add({ box: "B1-56", request: "b", at: 2 }, { bytes: bytes(7, 8), type: "image/png" });
	const later = new OutboxStore(factory);
	assert.deepEqual(await requests(later), ["a", "b"]);
	const [first, second] = await later.all();
	assert.equal(first.hasPicture, false);
	assert.deepEqual(await later.picture(second), { bytes: bytes(7, 8), type: "image/png" });
});

test("the next scan is the first that was not refused, and what is removed takes its picture along", async () => {
	const store = new OutboxStore(new IDBFactory());
	const first = await store.add(scan("a", 1), { bytes: bytes(1), type: "" });
	await store.add(scan("b", 2));
	await store.change({ ...first, refused: "no" });
	assert.equal((await store.next()).request, "b");
	await store.change(first);
	assert.equal((await store.next()).request, "a");
	await store.remove(first);
	assert.equal((await store.next()).request, "b");
	assert.equal(await store.picture(first), undefined);
});

test("finding the next scan and listing all read no picture", async () => {
	const factory = new IDBFactory();
	const reads = countReads(factory);
	const store = new OutboxStore(factory);
	for (let nth = 0; nth < 12; nth += 1) await store.add(scan(`${nth}`, nth), { bytes: bytes(nth), type: "" });
	assert.equal((await store.next()).request, "0");
	assert.equal((await store.all()).length, 12);
	assert.deepEqual(reads, { sent: 2 });
	await store.picture(await store.next());
	assert.deepEqual(reads, { sent: 3, pictures: 1 });
});

test("a database of version 1 loses no scan, keeps order, ids and pictures, and goes on counting", async () => {
	const factory = new IDBFactory();
	(await versionOne(factory, YESTERDAY)).close();
	const store = new OutboxStore(factory);
	const [a, b, c, d] = await store.all();
	assert.deepEqual([a.request, b.request, c.request, d.request], ["a", "b", "c", "d"]);
	assert.deepEqual([a.text, c.text, c.refused], ["9789999812252", "9789999812429", "This box is not on the trolley."]);
	assert.deepEqual(
		[a, b, c, d].map((each) => each.hasPicture),
		[false, true, false, true],
	);
	assert.ok([b, d].every((each) => !("picture" in each)));
	assert.deepEqual(await store.picture(b), { bytes: bytes(1, 2, 3), type: "image/jpeg" });
	assert.deepEqual(await store.picture(d), { bytes: bytes(4, 5), type: "" });
	await store.add(scan("e", 50));
	assert.deepEqual(await requests(store), ["a", "b", "c", "d", "e"]);
});

test("while another tab shows version 1, scans are remembered; they are kept as soon as it is closed", async () => {
	const factory = new IDBFactory();
	const tab = await versionOne(factory, YESTERDAY);
	const store = new OutboxStore(factory);
	const picture = { bytes: bytes(9), type: "image/jpeg" };
	await store.add({ box: "B1-56", request: "e", at: 50 }, picture);
	assert.equal(store.lasting, false);
	assert.deepEqual(await requests(store), ["e"]);
	tab.close();
	await store.opened;
	assert.equal(store.lasting, true);
	assert.deepEqual(await requests(store), ["a", "b", "c", "d", "e"]);
	assert.deepEqual(await store.picture((await store.all())[4]), picture);
});

test("a browser that keeps nothing: the page remembers, in order", async () => {
	const refusing = {
		open() {
			throw new DOMException("", "SecurityError");
		},
	};
	for (const factory of [undefined, refusing]) {
		const store = new OutboxStore(factory);
		const first = await store.add(scan("a", 1), { bytes: bytes(1), type: "" });
		const second = await store.add(scan("b", 2));
		assert.deepEqual(await store.picture(first), { bytes: bytes(1), type: "" });
		await store.change({ ...first, refused: "no" });
		assert.equal((await store.next()).request, "b");
		await store.remove(second);
		await store.add(scan("c", 3));
		assert.deepEqual(await requests(store), ["a", "c"]);
	}
});

test("a browser that stops writing: what was removed or refused does not come again, what is new is remembered", async () => {
	const factory = new IDBFactory();
	let full = false;
	watch(factory, (transaction, names, mode) => {
		if (full && mode === "readwrite") throw new DOMException("", "QuotaExceededError");
		return transaction(names, mode);
	});
	const store = new OutboxStore(factory);
	const first = await store.add(scan("a", 1));
	const second = await store.add(scan("b", 2));
	await store.add(scan("c", 3));
	full = true;
	await store.remove(first);
	await store.change({ ...second, refused: "no" });
	await store.add(scan("d", 4));
	assert.equal((await store.next()).request, "c");
	assert.deepEqual(await requests(store), ["b", "c", "d"]);
	assert.equal(store.lasting, false);
});

test("a page of a later version is not kept waiting", async () => {
	const factory = new IDBFactory();
	const store = new OutboxStore(factory);
	await store.add(scan("a", 1));
	const names = await new Promise((resolve, reject) => {
		const asked = factory.open("intake", 3);
		asked.onblocked = () => reject(new Error("blocked"));
		asked.onsuccess = () => resolve([...asked.result.objectStoreNames]);
	});
	assert.deepEqual(names, ["pictures", "sent"]);
});
