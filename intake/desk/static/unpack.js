// The unpacking page: scan, scan, scan. Whatever comes in goes through the outbox and is answered in one place.
import { Camera } from "./camera.js";
import { at } from "./element.js";
import { reached } from "./events.js";
import { onPage } from "./page.js";
import { newId } from "./request.js";
import { takeScans } from "./scans.js";
import { signal as sound, soundButton } from "./signal.js";

onPage(import.meta.url, (signal) => {
	const { box } = at("bench").dataset;
	const listen = (target, kind, heard) => target.addEventListener(kind, heard, { signal });

	// How long an answer took from a shutter, in milliseconds since the page began, is measured.
	function onShown(place, shutter) {
		if (!(shutter > 0) || !camera.running) place.scrollIntoView({ block: "nearest" });
		if (shutter > 0) {
			requestAnimationFrame(() => performance.measure("answer", { start: shutter, end: performance.now() }));
		}
	}
	const { takePictures, show, list, waiting } = takeScans({ box, toField: true, onShown });

	// Pictures from the phone's own camera, or several that were taken before: all are listed at once, then sent in order.
	for (const id of ["file", "files"]) {
		at(id).addEventListener("change", (event) => {
			const shutter = performance.now();
			const files = [...event.target.files];
			event.target.value = "";
			takePictures(files, shutter);
		});
	}

	// The live camera.
	const camera = new Camera({
		box,
		onAnswer(answer, shutter) {
			const request = newId();
			if (answer.body.answers?.length) list.answered(request, answer.body.answers);
			show(answer, request, camera.picture, shutter);
		},
		onRefused(reason) {
			if (signal.aborted) return;
			at("camera-message").textContent = reason;
			at("camera-message").hidden = false;
		},
		onStopped() {
			if (signal.aborted) return;
			showCamera(false);
		},
	});
	function showCamera(on) {
		at("camera").textContent = on ? "Stop camera" : "Live camera";
		at("phone-camera").hidden = on;
		for (const id of ["shutter", "again"]) at(id).hidden = !on;
		at("light").hidden = !(on && camera.hasLight);
	}
	let cameraOn = false;
	async function startCamera() {
		at("camera-message").hidden = true;
		if (!(await camera.start())) return;
		if (signal.aborted) return camera.stop();
		showCamera(true);
	}
	at("camera").addEventListener("click", () => {
		cameraOn = !camera.running;
		if (camera.running) camera.stop();
		else startCamera();
	});
	at("shutter").addEventListener("click", async () => {
		const shutter = performance.now();
		const picture = await camera.frame();
		if (picture) takePictures([picture], shutter);
	});
	at("again").addEventListener("click", () => camera.oneMore());
	at("light").addEventListener("click", async (event) => {
		const on = event.target.getAttribute("aria-pressed") !== "true";
		await camera.light(on);
		event.target.setAttribute("aria-pressed", String(on));
	});
	listen(document, "visibilitychange", () => {
		if (document.hidden && camera.running) camera.stop();
		else if (!document.hidden && cameraOn && !camera.running) startCamera();
	});
	signal.addEventListener("abort", () => camera.running && camera.stop());

	soundButton(at("sound"));
	// Before the script ran, a press would have done nothing.
	for (const id of ["camera", "file", "files"]) at(id).disabled = false;
	listen(window, "offline", () => {
		reached(false);
		waiting.show();
	});
	listen(document, "desk:lost", () => sound("wait"));
	if (matchMedia("(hover: hover)").matches) at("text").focus();

	// On a wide screen there is room for the box's list.
	for (const part of document.querySelectorAll("details[data-wide]"))
		part.open = matchMedia("(min-width: 60rem)").matches;
});
