// Hears the keys of a page until its reader of scans runs: a scan may go on while a page is still being opened.
globalThis.early = [];
globalThis.hearEarly = (event) => globalThis.early.push({ event, value: event.target.value });
document.addEventListener("keydown", globalThis.hearEarly, true);
// Who comes back to, or loads again, what answered a form gets the form's page: it is not sent a second time.
history.replaceState(history.state, "", location.href);
