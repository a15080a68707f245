// What every page does: it hears of changes, loads anew what they touch, and says whether the desk can be reached.
import { post } from "./send.js";

const link = document.getElementById("link");
const news = document.getElementById("news");
const SETTLE_MS = 200;
let stream = null;
let waiting = 0;

export function reached(yes) {
  link.classList.toggle("lost", !yes);
  link.textContent = yes ? "connected" : "no connection";
}

function listen() {
  if (stream) return;
  stream = new EventSource("/events");
  let dropped = false;
  stream.onopen = () => {
    reached(true);
    // Whatever happened while nobody listened was not told.
    if (dropped) refresh();
    document.dispatchEvent(new Event("desk:reached"));
  };
  stream.onerror = () => { dropped = true; reached(false); };
  stream.addEventListener("change", (event) => {
    const change = JSON.parse(event.data);
    if (change.station !== news.dataset.station) news.textContent = `${change.station}: ${change.what} ${change.of}`;
    document.documentElement.dataset.seq = change.seq;
    clearTimeout(waiting);
    waiting = setTimeout(refresh, SETTLE_MS);
  });
}

// Streams of hidden pages would use up the few connections that a browser opens to one machine.
document.addEventListener("visibilitychange", () => {
  if (document.hidden) { stream?.close(); stream = null; } else { listen(); refresh(); }
});

async function refresh() {
  if (!document.querySelector("[data-live]")) return;
  try {
    const answer = await fetch(location.href, { credentials: "same-origin", cache: "no-store" });
    if (!answer.ok || answer.redirected) return;
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const old of document.querySelectorAll("[data-live]")) {
      const next = fresh.querySelector(`[data-live="${CSS.escape(old.dataset.live)}"]`);
      // Never under the fingers: what is being filled in stays.
      const busy = old.contains(document.activeElement) && document.activeElement.matches("input, select, textarea");
      if (next && !busy && next.innerHTML !== old.innerHTML) replace(old, next);
    }
  } catch { /* the stream says that the desk cannot be reached */ }
}

function replace(old, next) {
  const held = old.contains(document.activeElement) ? document.activeElement.getAttribute("href") : null;
  const open = [...old.querySelectorAll("details")].map((each) => each.open);
  old.replaceChildren(...next.childNodes);
  old.querySelectorAll("details").forEach((each, nth) => { each.open = open[nth] ?? each.open; });
  if (held) old.querySelector(`a[href="${CSS.escape(held)}"]`)?.focus();
}

// A form sent twice by an impatient finger would be refused the second time, which only frightens.
document.addEventListener("submit", (event) => {
  if (event.defaultPrevented) return;
  const buttons = event.target.querySelectorAll("button");
  setTimeout(() => buttons.forEach((each) => { each.disabled = true; }));
});
window.addEventListener("pageshow", () => {
  document.querySelectorAll("form button:disabled").forEach((each) => { each.disabled = false; });
});

export async function keepPicture(input, say) {
  const [file] = input.files;
  if (!file) return;
  say("Sending the picture…");
  const answer = await post(`/api/photograph?copy=${encodeURIComponent(input.dataset.copy)}`, file);
  input.value = "";
  say(answer.body.sentence ?? "The picture could not be sent; take it again.");
  return answer;
}

listen();
