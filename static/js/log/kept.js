// On a find's page: what the ledger has confirmed is cleared from this phone.
import { clearSent } from "./drafts.js";

for (const mark of document.querySelectorAll("[data-kept-find]")) clearSent(mark.dataset.keptFind);
