// The page of two pictures of one copy, laid over each other.
import { layOver } from "./laid_over.js";

export const begin = () => layOver(document);
