// Two covers laid over each other: a slider blends the later one over the earlier.

export function opacityOf(value) {
	const share = Number(value) / 100;
	return Number.isFinite(share) ? Math.min(Math.max(share, 0), 1) : 1;
}

export function layOver(page) {
	const laid = page.getElementById("laid");
	if (!laid) return;
	const later = page.getElementById("later");
	const slider = page.getElementById("share");
	const outlines = page.getElementById("outlines");
	laid.classList.add("over");
	page.getElementById("blend").hidden = false;
	page.getElementById("outlined").hidden = false;
	const blend = () => {
		later.style.opacity = String(opacityOf(slider.value));
		slider.setAttribute("aria-valuetext", `${slider.value} % of the later picture`);
	};
	slider.addEventListener("input", blend);
	outlines.addEventListener("change", () => laid.classList.toggle("bare", !outlines.checked));
	blend();
}
