// The page of one copy: adding a picture.
import { keepPicture } from "./desk.js";

const said = document.getElementById("facts-said");
document.getElementById("damage").addEventListener("change", async (event) => {
  const answer = await keepPicture(event.target, (text) => { said.textContent = text; });
  if (answer?.ok) location.reload();
});
