globalThis.ledgerWords = {

};
