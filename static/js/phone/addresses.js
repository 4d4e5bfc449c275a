// Where the ledger is asked. The worker has no page to read these from.

export const HELLO = "/phone/hello";
export const REFERENCE = "/phone/reference.json";
export const OWN_FINDS = "/phone/finds.json";
export const FINDS = "/phone/finds";
export const NUMBERS = "/phone/numbers";
export const OUTBOX = "/phone/outbox/";
export const TABLE = "/phone/table/";
export const FORM = "/phone/form/";
export const LOG = "/finds/log/";
export const SIGN_IN = "/sign-in/";

export const photoAddress = (sha256, given) => `/phone/photos/${sha256}?${new URLSearchParams(given)}`;
export const findPage = (id) => `/finds/${id}/`;

/** The form over a find: one being typed goes on, one the ledger has is amended. */
export const formOf = (find) => (find.version ? `${LOG}?amend=${find.id}` : `${LOG}?draft=${find.id}`);

/** What the ledger has of a foray, for its table. */
export const tableList = (foray) => `/phone/table/${foray}.json`;
