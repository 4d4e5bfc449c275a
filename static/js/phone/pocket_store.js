// Pocket sheets kept on this phone: the page under its own address, with its files, in a cache of its own. The service
// worker answers from it where there is no signal.
export const POCKET = "ledger-pocket";

/** The addresses of the files that a page and its stylesheets need. */
async function filesOf(html, address) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const found = [
    ...[...page.querySelectorAll('link[rel="stylesheet"]')].map((link) => link.getAttribute("href")),
    ...[...page.querySelectorAll("script[src]")].map((script) => script.getAttribute("src")),
    ...[...page.querySelectorAll("use")].map((use) => use.getAttribute("href").split("#")[0]),
  ];
  return [...new Set(found.map((one) => new URL(one, address).href))];
}

async function put(cache, address) {
  const answer = await fetch(address, { credentials: "same-origin" });
  if (!answer.ok || answer.redirected) throw new Error(`${address} answered ${answer.status}.`);
  await cache.put(address, answer.clone());
  return answer;
}

/** Keep the page of that address. The page goes last: what is there is whole. Throws where something did not arrive. */
export async function keep(address) {
  const cache = await caches.open(POCKET);
  const answer = await fetch(`${address}&kept=1`, { credentials: "same-origin" });
  if (!answer.ok || answer.redirected) throw new Error(`The sheet answered ${answer.status}.`);
  const html = await answer.text();
  for (const file of await filesOf(html, address)) {
    const kept = await put(cache, file);
    if (!file.split("?")[0].endsWith(".css")) continue;
    const fonts = [...(await kept.text()).matchAll(/url\(["']?([^"')]+)["']?\)/g)];
    for (const [, font] of fonts) await put(cache, new URL(font, file).href);
  }
  await cache.put(address, new Response(html, { headers: { "Content-Type": "text/html; charset=utf-8" } }));
}

export async function drop(address) {
  const cache = await caches.open(POCKET);
  await cache.delete(address);
  if (!(await list()).length) await caches.delete(POCKET);
}

export const isKept = async (address) => Boolean(await caches.match(address, { cacheName: POCKET }));

/** The kept sheets: [{address, title}], the last kept last. */
export async function list() {
  if (!(await caches.has(POCKET))) return [];
  const cache = await caches.open(POCKET);
  const pages = (await cache.keys()).filter((request) => new URL(request.url).search.startsWith("?taxon="));
  return Promise.all(
    pages.map(async (request) => {
      const page = new DOMParser().parseFromString(await (await cache.match(request)).text(), "text/html");
      const names = [...page.querySelectorAll(".pocket-taxa i")].map((name) => name.textContent);
      return { address: request.url, names };
    }),
  );
}
