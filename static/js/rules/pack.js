// The reference on the phone, out of the JSON that ledger/traits/phone_pack.py makes.
//
// What a taxon can show is held as a sum of bits: state number i of its trait (from 0) is 1 << i, January is 1 << 0.

const DOUBTFUL = 1;
const BINDING = 2;
// Tables of evidence come as whole numbers of this part of a deciban.
const PER_DECIBAN = 1e4;

/**
 * The reference of a pack (the parsed JSON):
 *
 *   digest, referenceDigest
 *   traits       Map by code, in the order hands do things: {code, label, group, kind, unit, compared, growth, effort,
 *                order, freshOnly, shortForm, resolution, appliesWhen: Map trait code -> bits, absentMeans,
 *                canBeAbsent, dryingNote, ask, states: [{code, label, meaning, icon}], bitOf: Map state code -> bit};
 *                null where it has none
 *   effortCost   Map by effort
 *   taxa         Map by name, in the order of all tables: {name, place, authority, family, order, vernacular, synonyms, local}
 *   names        their names, by place
 *   synonyms     Map of a synonym to the names it may mean
 *   sources      Map by id: {id, name, kind}; the name is the short one that sentences use
 *   pairs        [{taxa: [name, name], whatPartsThem, source}]
 *   calibration  {doubtfulBelowDb, leadDb, traits: Map by code: {decisive, band95, band98, errorRate}}
 *   evidence     Map by trait code, see evidence.js; every column runs over the taxa by place
 *   rangesFor(taxon, trait code)  rows: {taxon, trait, source, bits, months, lowExtreme, low, high, highExtreme,
 *                lowest, highest, condition, note, unit, doubtful, binding}
 *   rangesAt(place, trait code)   the same by the place of the taxon
 *   form         {resolutions: {unit: {instrument: resolution}}, hosts: {kind of wood, or "": [names]},
 *                host_genera: [names]}
 *   memo         Map for tables made on first use
 */
export function loadPack(json) {
  const traits = new Map(json.traits.map((row) => [row.code, traitOf(row)]));
  for (const row of json.traits) linkApplicability(traits.get(row.code), row.applies_when ?? {}, traits);
  const taxa = taxaOf(json);
  const sources = json.sources.map(([id, name, kind]) => ({ id, name, kind }));
  const names = [...taxa.keys()];
  const rows = json.rows.map((byTrait, place) => rowsOf(byTrait, names[place], traits, sources, json.conditions));
  return {
    digest: json.digest,
    referenceDigest: json.reference,
    traits,
    effortCost: new Map(Object.entries(json.efforts)),
    taxa,
    names,
    synonyms: synonymsOf(taxa),
    sources: new Map(sources.map((source) => [source.id, source])),
    pairs: json.pairs.map(([a, b, whatPartsThem, source]) => ({
      taxa: [names[a], names[b]], whatPartsThem, source: sources[source].id,
    })),
    calibration: {
      doubtfulBelowDb: json.calibration.doubtful_below_db,
      leadDb: json.calibration.lead_db,
      traits: new Map(Object.entries(json.calibration.traits).map(([code, row]) => [code, measuredOf(row)])),
    },
    evidence: new Map(Object.entries(json.evidence).map(([code, table]) => [code, tableOf(table)])),
    rangesFor: (taxon, trait) => rows[taxa.get(taxon)?.place]?.get(trait) ?? NO_ROWS,
    rangesAt: (place, trait) => rows[place].get(trait) ?? NO_ROWS,
    form: json.form,
    memo: new Map(),
  };
}

/** The taxa of a pack alone, a Map by name, for those who only read names. */
export const taxaOf = (json) => new Map(json.taxa.map((row, place) => [row[0], taxonOf(row, place)]));

const NO_ROWS = Object.freeze([]);

function traitOf(row) {
  const states = (row.states ?? []).map(([code, label, meaning, icon]) => ({ code, label, meaning, icon }));
  return {
    code: row.code,
    label: row.label,
    group: row.group,
    kind: row.kind,
    unit: row.unit ?? null,
    compared: row.compared ?? null,
    growth: row.growth ?? false,
    effort: row.effort,
    order: row.order,
    freshOnly: row.fresh_only ?? false,
    shortForm: row.short_form ?? false,
    resolution: row.resolution ?? null,
    appliesWhen: new Map(),
    absentMeans: row.absent_means ?? null,
    canBeAbsent: row.can_be_absent ?? false,
    dryingNote: row.drying_note ?? "",
    ask: row.ask ?? "",
    states,
    bitOf: new Map(states.map((state, i) => [state.code, 1 << i])),
  };
}

function linkApplicability(trait, appliesWhen, traits) {
  for (const [other, codes] of Object.entries(appliesWhen)) {
    trait.appliesWhen.set(other, bitsOf(traits.get(other), codes));
  }
}

/** The sum of the bits of those states. */
export function bitsOf(trait, codes) {
  return codes.reduce((bits, code) => bits | trait.bitOf.get(code), 0);
}

function taxonOf([name, authority, family, order, vernacular, synonyms, local = []], place) {
  return { name, place, authority, family, order, vernacular, synonyms, local };
}

function synonymsOf(taxa) {
  const meant = new Map();
  for (const { name, synonyms } of taxa.values()) {
    for (const synonym of synonyms) meant.set(synonym, [...(meant.get(synonym) ?? []), name]);
  }
  return meant;
}

function measuredOf(row) {
  return { decisive: row.decisive, band95: row.band95, band98: row.band98, errorRate: row.error_rate };
}

function rowsOf(byTrait, taxon, traits, sources, conditions) {
  const found = new Map();
  for (const [code, cells] of Object.entries(byTrait)) {
    const trait = traits.get(code);
    found.set(code, cells.map((row) => rowOf(row, taxon, trait, sources, conditions)));
  }
  return found;
}

/** Cells are left off a row from its end while they are empty. */
function rowOf(cells, taxon, trait, sources, conditions) {
  const seen = cells[1];
  const flags = cells[3] ?? 0;
  const unit = cells[5] ?? "";
  const [lowExtreme, low, high, highExtreme] = trait.kind === "states" ? NO_BOUNDS : seen;
  const lowest = lowExtreme === null ? low : lowExtreme;
  const highest = highExtreme === null ? high : highExtreme;
  return {
    taxon,
    trait: trait.code,
    source: sources[cells[0]].id,
    bits: trait.kind === "states" ? seen : 0,
    months: trait.kind === "months" ? monthsOf(lowest, highest) : 0,
    lowExtreme,
    low,
    high,
    highExtreme,
    lowest,
    highest,
    condition: conditions[cells[2] ?? 0],
    note: cells[4] ?? "",
    unit: unit === "" ? trait.unit : unit === "none" ? null : unit,
    doubtful: (flags & DOUBTFUL) !== 0,
    binding: (flags & BINDING) !== 0,
  };
}

const NO_BOUNDS = Object.freeze([null, null, null, null]);

/** The months from `low` to `high`, both included; 9 to 3 goes over the new year. Without both bounds, none. */
function monthsOf(low, high) {
  if (low === null || high === null) return 0;
  const [first, last] = [Math.trunc(low), Math.trunc(high)];
  const span = (((last - first) % 12) + 12) % 12;
  let bits = 0;
  for (let step = 0; step <= span; step += 1) bits |= 1 << ((first - 1 + step) % 12);
  return bits;
}

function tableOf({ base, step, rows, factor, pair }) {
  if (rows) return { kind: "numbers", rows, factor, pair };
  const steps = new Map(Object.entries(step).map(([state, column]) => [state, decibans(column)]));
  return base ? { kind: "states", base: decibans(base), step: steps } : { kind: "months", step: steps };
}

function decibans(column) {
  return Float64Array.from(column, (whole) => whole / PER_DECIBAN);
}
