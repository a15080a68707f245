// Why a book is kept, dictated: by the browser's own recognition of speech, where it has one; elsewhere nothing is shown.
import { button, element } from "./element.js";

const FIELDS = "[name=why]";
// From memory, of browsers in general: the desk cannot tell which one does.
const CAUTION = "Some browsers send the sound to a server of their maker, to be recognised there: say nothing private.";
const FORBIDDEN = "The browser may not listen: allow this page the microphone, or type.";
const FAULTS = {
	"not-allowed": FORBIDDEN,
	"service-not-allowed": FORBIDDEN,
	"no-speech": "Nothing was heard.",
	network: "The browser's recognition cannot be reached: type instead.",
};

function add(field, words) {
	field.value = [field.value.trimEnd(), words.trim()].filter(Boolean).join(" ");
	field.dispatchEvent(new Event("input", { bubbles: true }));
}

function controls(field, { Recognition, language }) {
	const report = element("span", { className: "small" });
	report.setAttribute("role", "status");
	let listening = null;
	const starter = button("Dictate", () => {
		if (listening) return listening.stop();
		report.textContent = "Listening.";
		starter.textContent = "Stop listening";
		listening = Object.assign(new Recognition(), {
			lang: language(),
			onresult: ({ results }) => add(field, Array.from(results, ([best]) => best.transcript).join(" ")),
			onerror({ error }) {
				report.textContent = FAULTS[error] ?? `It stopped (${error}): type instead.`;
			},
			onend() {
				listening = null;
				starter.textContent = "Dictate";
				if (report.textContent === "Listening.") report.textContent = "";
			},
		});
		listening.start();
	});
	return element("p", { className: "dictation quiet small" }, starter, " ", report, ` ${CAUTION}`);
}

// Offers to dictate into each such field of a page, those that come later when they are gone into.
export function dictate(
	page,
	{
		Recognition = globalThis.SpeechRecognition ?? globalThis.webkitSpeechRecognition,
		language = () => navigator.language,
	} = {},
) {
	if (!Recognition) return;
	const offer = (field) => {
		if (!field.parentElement.querySelector(".dictation")) field.after(controls(field, { Recognition, language }));
	};
	for (const field of page.querySelectorAll(FIELDS)) offer(field);
	page.addEventListener("focusin", ({ target }) => target.matches(FIELDS) && offer(target));
}
