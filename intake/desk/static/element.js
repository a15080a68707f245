// The element of a page that has an id.
export const at = (id) => document.getElementById(id);

// An element with its properties and what is in it.
export function element(name, properties = {}, ...children) {
	const made = Object.assign(document.createElement(name), properties);
	made.append(...children);
	return made;
}

export function button(textContent, press, className = "") {
	const made = element("button", { type: "button", textContent, className });
	made.addEventListener("click", press);
	return made;
}

// A button that turns something on and off.
export function onOff(made, name, isOn, turn) {
	const show = () => {
		made.textContent = `Turn ${name} ${isOn() ? "off" : "on"}`;
	};
	made.addEventListener("click", () => {
		turn();
		show();
	});
	show();
}
