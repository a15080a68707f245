// Requests to the desk, each with the form token of the page.

// Longer than the desk itself waits for its turn to write (30 s).
export const TIMEOUT_MS = 40000;

export function newId() {
	// crypto.randomUUID is missing on pages without TLS.
	const bytes = crypto.getRandomValues(new Uint8Array(12));
	return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

// Returns {ok, status, body}; status 0 means that no answer came.
async function ask(address, request, patience = TIMEOUT_MS) {
	try {
		const answer = await fetch(address, { ...request, signal: AbortSignal.timeout?.(patience) });
		return { ok: answer.ok, status: answer.status, body: await answer.json() };
	} catch {
		return { ok: false, status: 0, body: {} };
	}
}

export const get = (address, patience) => ask(address, {}, patience);

export function post(address, body) {
	const blob = body instanceof Blob;
	const picture = blob && body.type.startsWith("image/");
	const type = picture ? body.type : blob ? "application/octet-stream" : "application/json";
	return ask(address, {
		method: "POST",
		headers: { "Content-Type": type, "X-Form-Token": document.querySelector("meta[name=form-token]").content },
		body: blob ? body : JSON.stringify(body),
	});
}

// Returns who writes to the library just now, in a sentence; an empty one where nobody does, or no answer comes.
export async function writing() {
	return (await get("/api/writing", 3000)).body.sentence ?? "";
}
