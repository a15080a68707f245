// The symbol that was read, cut out of the picture that was sent.

const MARGIN = 0.15;
const WIDEST_PX = 320;

// The part of the picture around the corners of a symbol; null where no symbol of this number was found.
export function symbolBox(frame, number) {
	const found = frame?.readings.find((reading) => reading.number === number && reading.corners.length);
	if (!found) return null;
	const [xs, ys] = [0, 1].map((axis) => found.corners.map((corner) => corner[axis]));
	const [width, height] = [xs, ys].map((along) => Math.max(...along) - Math.min(...along));
	const left = Math.max(0, Math.min(...xs) - MARGIN * width);
	const top = Math.max(0, Math.min(...ys) - MARGIN * height);
	return {
		left,
		top,
		width: Math.min(frame.width, Math.max(...xs) + MARGIN * width) - left,
		height: Math.min(frame.height, Math.max(...ys) + MARGIN * height) - top,
	};
}

// Draws what was read of each answer into its place. The picture is a blob or a canvas.
export async function cropInto(place, body, picture) {
	const spots = place.querySelectorAll("[data-crop]");
	const booked = (body.answers ?? []).filter(({ kind }) => kind === "good");
	if (!picture || !spots.length) return;
	const whole = await createImageBitmap(picture).catch(() => null);
	if (!whole) return;
	for (const [nth, spot] of [...spots].entries()) {
		const box = symbolBox(body.frame, booked[nth]?.number);
		if (!box?.width || !box.height) continue;
		const scale = whole.width / body.frame.width;
		spot.width = Math.min(WIDEST_PX, box.width * scale);
		spot.height = (spot.width * box.height) / box.width;
		const from = [box.left, box.top, box.width, box.height].map((px) => px * scale);
		spot.getContext("2d").drawImage(whole, ...from, 0, 0, spot.width, spot.height);
		spot.hidden = false;
	}
	whole.close();
}
