// Sending to the desk. What was scanned is written down in the browser first (IndexedDB) and crossed out when the desk
// has answered, so that neither a lost network nor a closed page loses it. Its id makes sure that it counts once.

const token = document.querySelector("meta[name=form-token]").content;
const TIMEOUT_MS = 20000;

export function newId() {
  // crypto.randomUUID is missing on pages without TLS.
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

// Returns {ok, status, body}; status 0 means that the desk was not reached.
export async function post(address, body) {
  const blob = body instanceof Blob;
  const type = blob ? (body.type.startsWith("image/") ? body.type : "application/octet-stream") : "application/json";
  try {
    const answer = await fetch(address, {
      method: "POST",
      credentials: "same-origin",
      headers: { "Content-Type": type, "X-Form-Token": token },
      body: blob ? body : JSON.stringify(body),
      signal: AbortSignal.timeout ? AbortSignal.timeout(TIMEOUT_MS) : undefined,
    });
    return { ok: answer.ok, status: answer.status, body: await answer.json() };
  } catch {
    return { ok: false, status: 0, body: {} };
  }
}

function open() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open("intake", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("sent", { keyPath: "nth", autoIncrement: true });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

// Where a browser keeps nothing (a private window), the page itself remembers for as long as it is open.
const memory = new Map();
let memoryNth = 0;
const database = "indexedDB" in window ? open().catch(() => null) : Promise.resolve(null);

async function store(mode, work) {
  const opened = await database;
  if (!opened) return undefined;
  return new Promise((resolve, reject) => {
    const change = opened.transaction("sent", mode);
    const asked = work(change.objectStore("sent"));
    change.oncomplete = () => resolve(asked.result);
    change.onerror = () => reject(change.error);
    change.onabort = () => reject(change.error);
  });
}

export async function write(item) {
  try {
    const nth = await store("readwrite", (kept) => kept.add(item));
    if (nth !== undefined) return { ...item, nth };
  } catch { /* full: the page remembers instead */ }
  memoryNth -= 1;
  const held = { ...item, nth: memoryNth };
  memory.set(memoryNth, held);
  return held;
}

export async function all() {
  let kept = [];
  try { kept = (await store("readonly", (held) => held.getAll())) ?? []; } catch { /* as above */ }
  return [...kept, ...memory.values()].sort((a, b) => a.at - b.at);
}

export async function change(item) {
  if (memory.has(item.nth)) { memory.set(item.nth, item); return; }
  await store("readwrite", (kept) => kept.put(item)).catch(() => undefined);
}

export async function cross(item) {
  if (memory.delete(item.nth)) return;
  await store("readwrite", (kept) => kept.delete(item.nth)).catch(() => undefined);
}

// One item to the desk, as it was written down.
export function deliver(item) {
  if (item.picture) {
    const asked = new URLSearchParams({ box: item.box, request: item.request });
    // Some browsers cannot keep a Blob; the bytes always can be.
    return post(`/api/picture?${asked}`, new Blob([item.picture], { type: item.type || "application/octet-stream" }));
  }
  return post("/api/scan", { box: item.box, text: item.text, request: item.request });
}

// Whether an answer is the last word on an item. A desk that is not reached, is busy, or does not know this browser any
// more may answer differently later; what it refuses (409) is kept until a person has seen it.
export const settled = (answer) => answer.ok || [400, 413, 422].includes(answer.status);
