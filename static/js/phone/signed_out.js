// On pages for who is not signed in: the phone is told so, and lets go of what only the member may read.
import { hello } from "./hello.js";

// Where nothing is kept, there is nothing to let go.
hello().catch(() => {});
