// Two covers laid over each other: what the slider and the tick do.
import assert from "node:assert/strict";
import { test } from "node:test";
import { layOver, opacityOf } from "../../../intake/desk/static/laid_over.js";
import { page } from "./page.js";

const BODY = `<div id="laid"><figure id="later"></figure></div>
<div id="blend" hidden><input id="share" type="range" value="100"></div>
<div id="outlined" hidden><input type="checkbox" id="outlines" checked></div>`;

test("the slider blends the later cover over the earlier one, and says how far", () => {
	const window = page(BODY);
	const at = (name) => window.document.getElementById(name);
	layOver(window.document);
	assert.ok(at("laid").classList.contains("over"));
	assert.equal(at("blend").hidden, false);
	at("share").value = "25";
	at("share").dispatchEvent(new window.Event("input"));
	assert.equal(at("later").style.opacity, "0.25");
	assert.equal(at("share").getAttribute("aria-valuetext"), "25 % of the later picture");
	at("outlines").checked = false;
	at("outlines").dispatchEvent(new window.Event("change"));
	assert.ok(at("laid").classList.contains("bare"));
});

test("what is no number shows the later cover, and a page without covers stays as it is", () => {
	assert.equal(opacityOf("many"), 1);
	assert.equal(opacityOf("-5"), 0);
	assert.doesNotThrow(() => layOver(page("<p></p>").document));
});
