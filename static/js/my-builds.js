// Builds kept in this browser: named, dated, opened, compared, removed. And the buttons that copy
// a build's link or hand it to the device to share.
//
//   <div data-build="/build/…" data-build-name="Hardtail, Medium" data-build-price="4,584.00 EUR">
//     <button type="button" data-build-keep hidden>…</button> <button type="button" data-build-copy hidden>…</button>
//     <button type="button" data-build-share hidden>…</button> <p data-build-said role="status"></p></div>
//   <div data-builds><template>…one build…</template><form data-builds-list>…</form></div>
//
// What is said stands in the markup (data-said-…), so that it can be put into another language.

import { kept, keepAs } from "./browser-kept.js";

const NAME = "builds";
const MOST = 40;

function builds() {
  const found = kept(NAME);
  return Array.isArray(found) ? found.filter((each) => typeof each?.address === "string" && each.address.startsWith("/build/")) : [];
}

function say(place, key) {
  const said = place.querySelector("[data-build-said]");
  if (said) said.textContent = said.dataset[key] ?? "";
}

// A build's address without the time its link was made, so that the same build is recognised.
function bare(address) {
  return address.replace(/[?&]seen=[^&]*/, "");
}

// The reader's own day, which near midnight is another than that of Greenwich.
function today() {
  const now = new Date();
  return new Date(now.getTime() - now.getTimezoneOffset() * 60000).toISOString().slice(0, 10);
}

function keepBuild(place) {
  const { build: address, buildName: name, buildPrice: price } = place.dataset;
  const others = builds().filter((each) => bare(each.address) !== bare(address));
  const at = today();
  const done = keepAs(NAME, [{ address, name, price, at }, ...others].slice(0, MOST));
  say(place, done ? "saidKept" : "saidRefused");
}

async function copyLink(place) {
  try {
    await navigator.clipboard.writeText(new URL(place.dataset.buildShared, location.origin).href);
    say(place, "saidCopied");
  } catch {
    say(place, "saidNotCopied");
  }
}

async function shareLink(place) {
  const url = new URL(place.dataset.buildShared, location.origin).href;
  try {
    await navigator.share({ title: place.dataset.buildName, url });
  } catch (refused) {
    // Closed without sharing: nothing to say.
    if (refused.name !== "AbortError") say(place, "saidNotShared");
  }
}

function showButtons() {
  for (const place of document.querySelectorAll("[data-build]")) {
    place.querySelector("[data-build-keep]")?.removeAttribute("hidden");
    if (navigator.clipboard) place.querySelector("[data-build-copy]")?.removeAttribute("hidden");
    if (navigator.share) place.querySelector("[data-build-share]")?.removeAttribute("hidden");
  }
}

// A day as the other pages write it: "27 November 2026".
function inWords(day) {
  const { lang } = document.documentElement;
  const written = new Intl.DateTimeFormat(lang === "en" ? "en-GB" : lang, { dateStyle: "long", timeZone: "UTC" });
  const at = new Date(day);
  return Number.isNaN(at.getTime()) ? "" : written.format(at);
}

function rowOf(template, build, number) {
  const row = template.content.firstElementChild.cloneNode(true);
  const name = row.querySelector("[data-is=name]");
  const id = `build-${number}`;
  name.value = build.name;
  name.id = id;
  row.querySelector("label").htmlFor = id;
  name.addEventListener("change", () => {
    keepAs(NAME, builds().map((each) => (each.address === build.address ? { ...each, name: name.value } : each)));
  });
  const day = row.querySelector("[data-is=day]");
  day.textContent = inWords(build.at);
  day.dateTime = build.at;
  row.querySelector("[data-is=price]").textContent = build.price;
  row.querySelector("[data-is=open]").href = build.address;
  row.querySelector("[data-is=compare]").value = bare(build.address).slice("/build/".length);
  row.querySelector("[data-is=remove]").addEventListener("click", () => {
    keepAs(NAME, builds().filter((each) => each.address !== build.address));
    showList();
    document.getElementById("main").focus();
  });
  return row;
}

function showList() {
  for (const place of document.querySelectorAll("[data-builds]")) {
    const template = place.querySelector("template");
    const all = builds();
    place.querySelector("[data-builds-list]").replaceChildren(...all.map((build, number) => rowOf(template, build, number)));
    place.querySelector("[data-builds-some]").hidden = all.length === 0;
    place.querySelector("[data-builds-none]").hidden = all.length > 0;
  }
}

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-build-keep], [data-build-copy], [data-build-share]");
  const place = button?.closest("[data-build]");
  if (!place) return;
  if (button.dataset.buildKeep !== undefined) keepBuild(place);
  else if (button.dataset.buildCopy !== undefined) copyLink(place);
  else shareLink(place);
});
document.addEventListener("htmx:after:swap", showButtons);
showButtons();
showList();
