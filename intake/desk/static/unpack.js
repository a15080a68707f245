// The unpacking page: scan, scan, scan. Whatever comes in is written down, sent, and answered in one place.
import { Camera } from "./camera.js";
import { keepPicture, reached } from "./desk.js";
import { all, change, cross, deliver, newId, post, settled, write } from "./send.js";
import { signal, soundButton } from "./signal.js";
import { typing } from "./typing.js";

const at = (id) => document.getElementById(id);
const box = at("bench").dataset.box;
const answerPlace = at("answer");
const text = at("text");
const RETRY_MS = 3000;
let lastCopy = null;

function show(answer, shutter) {
  const answers = answer.body.answers ?? [];
  if (!answers.length) { stop(answer.body.sentence ?? "The desk gave no answer."); return; }
  const worst = ["stop", "question", "good"].find((kind) => answers.some((each) => each.kind === kind));
  answerPlace.className = `sheet answer ${worst}`;
  // The desk has escaped what is in it; several books in one picture stand one below the other.
  answerPlace.innerHTML = answers.map((each) => each.html).join("<hr>");
  lastCopy = answers.findLast?.((each) => each.copy)?.copy ?? lastCopy;
  for (const each of answerPlace.querySelectorAll("[data-shelf]")) each.hidden = !lastCopy;
  signal(worst);
  if (!shutter || !camera.running) answerPlace.scrollIntoView({ block: "nearest" });
  if (shutter) {
    requestAnimationFrame(() => performance.measure("answer", { start: shutter, end: performance.now() }));
  }
}

function stop(sentence) {
  answerPlace.className = "sheet answer stop";
  const mark = Object.assign(document.createElement("p"), { className: "mark", textContent: "■ Stop" });
  answerPlace.replaceChildren(mark, Object.assign(document.createElement("p"), { textContent: sentence }));
  signal("stop");
}

// What was scanned and is not settled yet. Whoever asks while something is being sent makes it look once more.
let sending = null;
let more = false;
function send() {
  more = true;
  sending ??= (async () => {
    while (more) {
      more = false;
      await sendAll();
    }
  })().finally(() => { sending = null; });
  return sending;
}

async function sendAll() {
  for (let item = await next(); item; item = await next()) {
    const answer = await deliver(item);
    if (settled(answer)) {
      await cross(item);
      show(answer, item.shutter);
      reached(true);
    } else if (answer.status === 409) {
      await change({ ...item, refused: answer.body.sentence });
      stop(answer.body.sentence);
    } else {
      reached(answer.status !== 0);
      if (answer.status) stop(answer.body.sentence ?? "The desk did not take it. It is kept here and sent again.");
      setTimeout(send, RETRY_MS);
      break;
    }
  }
  await showKept();
}

const next = async () => (await all()).find((item) => !item.refused);

async function take(item) {
  const held = await write({ box, request: newId(), at: Date.now(), ...item });
  if (!navigator.onLine) await showKept();
  await send();
  return held;
}

async function showKept() {
  const kept = await all();
  const place = at("kept");
  place.hidden = kept.length === 0;
  const waiting = kept.filter((item) => !item.refused).length;
  const parts = [];
  if (waiting) {
    const words = waiting === 1 ? "1 scan waits" : `${waiting} scans wait`;
    parts.push(Object.assign(document.createElement("p"), {
      className: "sheet question", textContent: `${words} here and will be sent, once each, when the desk can be reached.`,
    }));
  }
  for (const item of kept.filter((each) => each.refused)) parts.push(refusedItem(item));
  place.replaceChildren(...parts);
}

function refusedItem(item) {
  const part = Object.assign(document.createElement("div"), { className: "sheet stop row" });
  const what = item.picture ? "A picture" : item.text;
  part.append(Object.assign(document.createElement("p"), { textContent: `${what}: ${item.refused}` }));
  const button = (words, act) => {
    const made = Object.assign(document.createElement("button"), { type: "button", textContent: words });
    made.addEventListener("click", async () => { await act(); await showKept(); });
    part.append(made);
  };
  button("Send again", async () => { await change({ ...item, refused: undefined }); await send(); });
  button("Throw away", () => cross(item));
  return part;
}

// Typing and handheld scanners.
at("entry").addEventListener("submit", (event) => {
  event.preventDefault();
  const typed = help.chosen() ?? text.value.trim();
  text.value = "";
  help.clear();
  if (typed) take({ text: typed });
  else openFacts();
});
const help = typing(text, at("titles"), at("help"), (number) => { text.value = ""; take({ text: number }); });

// A scanner types wherever the focus is, faster than a person can: six characters and Enter are a scan.
const FAST_MS = 45;
const SHORTEST_SCAN = 6;
let burst = "";
let last = 0;
document.addEventListener("keydown", (event) => {
  const now = event.timeStamp;
  if (event.key === "Enter" && burst.length >= SHORTEST_SCAN && now - last < FAST_MS * 2 && event.target !== text) {
    event.preventDefault();
    event.stopPropagation();
    const scanned = burst;
    burst = "";
    if (event.target.matches("input")) event.target.value = event.target.value.replace(scanned, "");
    take({ text: scanned });
    return;
  }
  if (event.key.length !== 1 || event.ctrlKey || event.metaKey || event.altKey) { if (event.key !== "Shift") burst = ""; return; }
  burst = now - last < FAST_MS ? burst + event.key : event.key;
  last = now;
  const free = !event.target.closest("input, select, textarea, button, a, summary, [role=option]");
  if (free && event.key !== " ") text.focus();
}, true);

// Pictures from the phone's own camera.
at("file").addEventListener("change", async (event) => {
  const shutter = performance.now();
  const files = [...event.target.files];
  event.target.value = "";
  for (const file of files) await take({ picture: await file.arrayBuffer(), type: file.type, shutter });
});

// The live camera.
const camera = new Camera({
  box,
  onAnswer: show,
  onRefused: (why) => { at("camera-said").textContent = why; at("camera-said").hidden = false; },
  onStopped: () => {
    at("camera").textContent = "Live camera";
    at("phone-camera").hidden = false;
    for (const id of ["shutter", "again", "light"]) at(id).hidden = true;
  },
});
let wanted = false;
async function startCamera() {
  at("camera-said").hidden = true;
  if (!(await camera.start())) return;
  at("camera").textContent = "Stop camera";
  at("phone-camera").hidden = true;
  at("shutter").hidden = at("again").hidden = false;
  at("light").hidden = !camera.hasLight;
}
at("camera").addEventListener("click", () => {
  wanted = !camera.running;
  if (camera.running) camera.stop(); else startCamera();
});
at("shutter").addEventListener("click", async () => {
  const shutter = performance.now();
  const picture = await camera.frame();
  if (picture) take({ picture: await picture.arrayBuffer(), type: "image/jpeg", shutter });
});
at("again").addEventListener("click", () => camera.oneMore());
at("light").addEventListener("click", async (event) => {
  const on = event.target.getAttribute("aria-pressed") !== "true";
  await camera.light(on);
  event.target.setAttribute("aria-pressed", String(on));
});
document.addEventListener("visibilitychange", () => {
  if (document.hidden && camera.running) camera.stop();
  else if (!document.hidden && wanted && !camera.running) startCamera();
});

// What an answer offers: a decision, a step back, the facts that need a person.
answerPlace.addEventListener("click", async (event) => {
  const button = event.target.closest("button[data-undo], button[data-option], button[data-shelf]");
  if (!button || button.disabled) return;
  button.disabled = true;
  const { undo, shelf, query, option } = button.dataset;
  const answer = await (undo ? post("/api/undo", { entry: undo })
    : shelf ? post("/api/shelve", { copy: lastCopy, shelf })
    : post("/api/decide", { query, option }));
  if (answer.status === 0) { stop("The desk cannot be reached; nothing was changed. Press again when it is back."); return; }
  if (!answer.ok) { stop(answer.body.sentence); return; }
  if (undo || shelf) {
    answerPlace.className = "sheet answer";
    answerPlace.replaceChildren(Object.assign(document.createElement("p"), { textContent: answer.body.sentence }));
    signal("good");
  } else show(answer);
  text.focus({ preventScroll: true });
});
answerPlace.addEventListener("submit", async (event) => {
  if (event.target.id !== "facts") return;
  event.preventDefault();
  const answer = await post("/api/facts", { ...Object.fromEntries(new FormData(event.target)), request: newId() });
  if (answer.ok) at("facts-open").open = false;
  at("facts-said").textContent = answer.body.sentence ?? "Not saved: the desk cannot be reached. Press Save again.";
  signal(answer.ok ? "good" : "stop");
  if (answer.ok) text.focus({ preventScroll: true });
});
answerPlace.addEventListener("change", (event) => {
  if (event.target.id === "damage") keepPicture(event.target, (words) => { at("facts-said").textContent = words; });
});

function openFacts() {
  const facts = at("facts-open");
  if (!facts) return;
  facts.open = true;
  facts.querySelector("input:not([type=hidden])").focus();
}

// One key each, while the focus is among the facts and not in a field for text.
const KEYS = { j: ["has_jacket", "yes"], n: ["has_jacket", "no"], w: ["wrapped", "yes"], u: ["wrapped", "no"] };
answerPlace.addEventListener("keydown", (event) => {
  const form = event.target.closest("#facts");
  if (!form || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Escape") { at("facts-open").open = false; text.focus(); return; }
  if (!event.target.matches("input[type=radio]")) return;
  if (event.key === "Enter") { event.preventDefault(); form.requestSubmit(); return; }
  const press = () => {
    if (burst.length > 1) return; // a scanner is typing
    const grades = form.elements.grade;
    const chosen = /^[1-7]$/.test(event.key) ? grades[Number(event.key) - 1]
      : [...form.elements].find((each) => each.name === KEYS[event.key]?.[0] && each.value === KEYS[event.key][1]);
    if (chosen) { chosen.checked = true; chosen.focus(); }
  };
  setTimeout(press, FAST_MS + 15);
});

soundButton(at("sound"));
// Until now nobody would have heard a press, and what a scanner typed would have been sent nowhere.
for (const id of ["camera", "take", "file"]) at(id).disabled = false;
window.addEventListener("online", send);
window.addEventListener("offline", () => { reached(false); showKept(); });
document.addEventListener("desk:reached", send);
showKept();
send();
if (matchMedia("(hover: hover)").matches) text.focus();
