// Every page but the unpacking page: what is scanned is answered at its top.
import { takeScans } from "./scans.js";

export function scanHere(dock) {
	takeScans({
		...dock.dataset,
		onShown: (place) => place.scrollIntoView({ block: "nearest" }),
	});
}
