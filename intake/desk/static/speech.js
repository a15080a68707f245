// The answer spoken by the browser's own voice, if wished and if it has one: the place, then the warning.
import { element, onOff } from "./element.js";

// The few words of ours; what the desk writes in a sentence is English and is spoken so.
const WORDS = {
	en: { question: "Question", stop: "Stop", nowhere: "No place yet" },
	de: { question: "Rückfrage", stop: "Halt", nowhere: "Noch kein Platz" },
};

// A voice that is not there by then does not come.
const VOICES_MS = 1500;

// What is said of answers, each with its language.
export function spokenOf(answers, language) {
	const tongue = language.slice(0, 2).toLowerCase();
	const [own, lang] = tongue in WORDS ? [WORDS[tongue], language] : [WORDS.en, "en"];
	return answers.flatMap(({ kind, place, warning }) => {
		const where = (place ?? []).slice(-2).join(", ");
		const first = kind === "good" ? where || own.nowhere : [own[kind], where].filter(Boolean).join(". ");
		return [{ text: first, lang }, ...(warning ? [{ text: warning, lang: "en" }] : [])];
	});
}

export class Speech {
	#on = false;

	constructor({ synthesis = globalThis.speechSynthesis, Utterance = globalThis.SpeechSynthesisUtterance, storage }) {
		Object.assign(this, { synthesis, Utterance, storage });
		this.#on = storage?.getItem("speech") === "on";
	}

	// A button that turns it on and off, where the browser can speak.
	button(button) {
		if (!this.synthesis || !this.Utterance) return;
		button.hidden = false;
		const told = element("span", { className: "quiet", role: "status" });
		button.after(told);
		// A browser may offer its voices only some time after they are first asked for.
		const tell = () => {
			const isMute = this.#on && this.synthesis.getVoices?.().length === 0;
			told.textContent = isMute ? "This browser has no voice: nothing is spoken." : "";
		};
		this.synthesis.onvoiceschanged = tell;
		this.synthesis.getVoices?.();
		setTimeout(tell, VOICES_MS);
		const turn = () => {
			this.#on = !this.#on;
			if (!this.#on) this.synthesis.cancel();
			this.storage?.setItem("speech", this.#on ? "on" : "off");
			tell();
		};
		onOff(button, "voice", () => this.#on, turn);
	}

	say(answers, language = navigator.language) {
		if (!this.#on) return;
		try {
			this.synthesis.cancel(); // what is in the hand is the newest
			for (const { text, lang } of spokenOf(answers, language)) {
				this.synthesis.speak(Object.assign(new this.Utterance(text), { lang }));
			}
		} catch {
			/* a voice that fails says nothing; the answer stands on the page */
		}
	}
}
