globalThis.ledgerWords = {
"{name} is a name that the club has for {taxon}": "{name} ist ein Name des Vereins für {taxon}",
"{name} is an English name of {taxon}": "{name} ist ein englischer Name von {taxon}"
};
