// The live camera: frames go to the desk one after the other, and what was found in each is outlined.
import { at } from "./element.js";
import { newId, post } from "./request.js";

const QUALITY = 0.85;
const PAUSE_MS = 90;
const AFTER_GOOD_MS = 500;
// A book that stays in view, or comes back at once, is the same book; a second copy of it is asked for by a button.
const ANSWERED_MS = 15000;

export const REFUSED = {
	insecure:
		"This page cannot have the live camera: browsers allow it only over TLS, or on the computer of the desk itself. " +
		"Take pictures with the button below, or start the desk again with TLS.",
	NotAllowedError:
		"The camera was refused. Allow it for this page in the browser's settings, or take pictures with the button below.",
	NotReadableError:
		"Another program is using the camera. Close it there and try again, or take pictures with the button below.",
	NotFoundError: "This device has no camera that the browser can use. Scan or type instead, or choose a picture below.",
	ended:
		"The camera was taken over by another program or unplugged. Start it again, or take pictures with the button below.",
	other: "The camera could not be started. Take pictures with the button below.",
};

export class Camera {
	constructor({ box, onAnswer, onRefused, onStopped }) {
		Object.assign(this, { box, onAnswer, onRefused, onStopped });
		Object.assign(this, { view: at("view"), video: at("video"), outline: at("outline") });
		// The latest frame that was sent.
		this.picture = document.createElement("canvas");
		this.answered = new Map();
		this.stream = null;
		this.request = newId();
		this.round = 0;
	}

	get running() {
		return this.stream !== null;
	}

	async start() {
		if (!navigator.mediaDevices?.getUserMedia) {
			this.onRefused(REFUSED.insecure);
			return false;
		}
		try {
			this.stream = await navigator.mediaDevices.getUserMedia({
				audio: false,
				video: { facingMode: { ideal: "environment" }, width: { ideal: 1280 }, height: { ideal: 720 } },
			});
			this.video.srcObject = this.stream;
			await this.video.play();
			if (!this.running) return false; // the page was left
		} catch (error) {
			this.stop();
			this.onRefused(REFUSED[error.name] ?? REFUSED.other);
			return false;
		}
		this.track = this.stream.getVideoTracks()[0];
		this.track.addEventListener("ended", () => {
			if (this.running) {
				this.stop();
				this.onRefused(REFUSED.ended);
			}
		});
		this.view.style.aspectRatio = `${this.video.videoWidth} / ${this.video.videoHeight}`;
		this.view.hidden = false;
		this.awake = await navigator.wakeLock?.request("screen").catch(() => null);
		this.loop(this.stream);
		return true;
	}

	stop() {
		for (const track of this.stream?.getTracks() ?? []) track.stop();
		this.stream = null;
		this.awake?.release().catch(() => undefined);
		this.video.srcObject = null;
		this.view.hidden = true;
		this.outline.replaceChildren();
		this.onStopped();
	}

	get hasLight() {
		return Boolean(this.track?.getCapabilities?.().torch);
	}

	light(on) {
		return this.track.applyConstraints({ advanced: [{ torch: on }] }).catch(() => undefined);
	}

	// One more copy of what was just booked: it counts as a new one.
	oneMore() {
		this.answered.clear();
		this.round += 1;
	}

	frame() {
		const { picture, video } = this;
		if (!video.videoWidth) return Promise.resolve(null);
		picture.width = video.videoWidth;
		picture.height = video.videoHeight;
		picture.getContext("2d", { alpha: false }).drawImage(video, 0, 0);
		return new Promise((resolve) => picture.toBlob(resolve, "image/jpeg", QUALITY));
	}

	async loop(stream) {
		while (this.stream === stream) {
			const shutter = performance.now();
			const picture = await this.frame();
			const good = picture && this.stream === stream ? await this.ask(picture, shutter) : false;
			await new Promise((resolve) => setTimeout(resolve, good ? AFTER_GOOD_MS : PAUSE_MS));
		}
	}

	async ask(picture, shutter) {
		const now = performance.now();
		for (const [number, seen] of this.answered) if (now - seen > ANSWERED_MS) this.answered.delete(number);
		const asked = new URLSearchParams({ mode: "live", box: this.box, request: this.request });
		for (const number of this.answered.keys()) asked.append("answered", number);
		const round = this.round;
		const answer = await post(`/api/picture?${asked}`, picture);
		// While no answer comes, the next frames carry the same id: the desk may have booked this one already.
		if (answer.status === 0) {
			await new Promise((resolve) => setTimeout(resolve, 1000));
			return false;
		}
		this.request = newId();
		const frame = answer.body.frame;
		if (frame) {
			this.draw(frame);
			// A frame that was under way when one more was asked for does not count as answered, unless it was just booked.
			const isAnswered = round === this.round || answer.body.answers.length > 0;
			const sure = isAnswered ? frame.readings.filter((reading) => reading.accepted) : [];
			for (const reading of sure) this.answered.set(reading.number, performance.now());
		}
		const news = !answer.ok || answer.body.answers?.length > 0;
		if (news) this.onAnswer(answer, shutter);
		if (!answer.ok) this.stop();
		return news;
	}

	draw(frame) {
		this.outline.setAttribute("viewBox", `0 0 ${frame.width} ${frame.height}`);
		this.outline.replaceChildren(
			...frame.readings
				.filter((reading) => reading.corners.length)
				.map((reading) => {
					const drawn = document.createElementNS("http://www.w3.org/2000/svg", "polygon");
					drawn.setAttribute("points", reading.corners.map((corner) => corner.join(",")).join(" "));
					drawn.classList.toggle("sure", reading.accepted);
					return drawn;
				}),
		);
	}
}
