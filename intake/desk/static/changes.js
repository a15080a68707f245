// The page of two pictures of one copy, laid over each other.
import { layOver } from "./laid_over.js";
import { onPage } from "./page.js";

onPage(import.meta.url, () => layOver(document));
