"use strict";
(() => {
const data = JSON.parse(document.getElementById("data").textContent);
const byId = (id) => document.getElementById(id);
const form = byId("choose"), season = byId("season"), pick = byId("pick");
const areas = [...document.querySelectorAll("[data-area]")];
const overs = [...document.querySelectorAll("[data-over]")];
const numbers = [...document.querySelectorAll(".numbers text")];
let touched = []; // areas that the last drawing coloured

const chosen = () => ({
  acaricide: Number(form.elements.acaricide.value),
  season: Number(season.value),
});
const ratioOf = (f) => f[3] === null ? f[2] : `${f[2]} (${f[3]}–${f[4]})`;
const sharesOf = (f) => data.classes.map((name, i) => `${name} ${f[7 + i]} %`).join(", ");

function paint(facts) {
  for (const i of touched) {
    areas[i].setAttribute("class", "area few");
    overs[i].setAttribute("class", "over few");
    numbers[i].textContent = "";
  }
  touched = facts.map((f) => f[0]);
  for (const f of facts) {
    const look = `c${f[5]} ${data.certainty[f[6]]}`;
    areas[f[0]].setAttribute("class", `area ${look}`);
    overs[f[0]].setAttribute("class", `over ${look}`);
    numbers[f[0]].textContent = f[5] + 1;
  }
}

function element(name, text, kind) {
  const e = document.createElement(name);
  e.textContent = text;
  if (kind) e.className = kind;
  return e;
}

function fill(facts) {
  const rows = document.createDocumentFragment();
  for (const f of facts) {
    const row = document.createElement("tr");
    const head = element("th", data.areas[f[0]]);
    head.scope = "row";
    row.append(head, element("td", f[1], "n"), element("td", ratioOf(f), "n"), element("td", data.classes[f[5]]),
      element("td", data.certainty[f[6]]), element("td", sharesOf(f)));
    rows.append(row);
  }
  byId("rows").replaceChildren(rows);
}

function tell(facts) {
  const about = byId("about");
  byId("chosen").setAttribute("d", pick.value === "" ? "" : areas[Number(pick.value)].getAttribute("d"));
  if (pick.value === "") return about.replaceChildren();
  const f = facts.find((f) => f[0] === Number(pick.value));
  if (!f) return about.replaceChildren(element("p", `${data.few}: nothing is told.`));
  const list = document.createElement("dl");
  for (const [name, value] of [["Apiaries tested", f[1]], ["Mean ratio", ratioOf(f)], ["Likeliest band", data.classes[f[5]]],
    ["Certainty", data.certainty[f[6]]], ["Expected", sharesOf(f)]]) {
    list.append(element("dt", name), element("dd", value));
  }
  about.replaceChildren(list);
}

function show() {
  const at = chosen(), facts = data.facts[at.acaricide][at.season];
  const title = `${data.acaricides[at.acaricide]}, ${data.seasons[at.season]}`;
  paint(facts);
  fill(facts);
  tell(facts);
  byId("when").textContent = data.seasons[at.season];
  season.setAttribute("aria-valuetext", data.seasons[at.season]);
  byId("title").textContent = byId("caption").textContent = title;
  byId("against").textContent = data.baselines[at.acaricide];
  const counts = data.classes.map((name, i) => `${name} in ${facts.filter((f) => f[5] === i).length}`);
  byId("told").textContent = `${facts.length} of ${areas.length} areas are shown: ${counts.join(", ")}.`;
}

touched = areas.map((_, i) => i);
form.hidden = false;
pick.disabled = false;
form.addEventListener("input", show);
form.addEventListener("submit", (e) => e.preventDefault());
pick.addEventListener("change", show);
byId("areas").addEventListener("click", (e) => {
  if (e.target.dataset.area === undefined) return;
  pick.value = e.target.dataset.area;
  show();
});
show();
document.documentElement.dataset.ready = "yes";
})();
