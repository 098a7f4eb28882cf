"use strict";
(() => {
  const data = unfold(JSON.parse(document.getElementById("data").textContent));
  const SVG = "http://www.w3.org/2000/svg";
  const MM_PER_INCH = 25.4;
  const SIDE_MM = 3; // white around a drawn plate
  const MOST_PIXELS = 432; // widest drawing beside its text: 27rem
  const ONE_FILE = new Set(sources(data).map(([file]) => file)).size === 1;
  const lists = {};

  // What signs share stands in data.shared by its name: each sign begins with the names of its rules, its plate, its letters.
  // A flag that a sign has is listed by two numbers: that of the sign, and its own there.
  function unfold(data) {
    data.signs = data.signs.map(([needs, sign, letters, dots, measured]) => Object.assign(sign, { needs, letters, dots, measured }));
    data.flags = data.flags.map((flag) => (Array.isArray(flag) ? data.signs[flag[0]].flags[flag[1]] : flag));
    return data;
  }

  function sources({ flags, signs, unsigned }) {
    const all = [...flags, ...signs, ...signs.flatMap((sign) => sign.flags), ...unsigned];
    return all.map((item) => item.row).filter(Boolean);
  }

  // Text only ever becomes a text node, so nothing of a schedule can act as markup.
  function el(tag, attributes, ...children) {
    const node = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes || {})) node.setAttribute(name, value);
    node.append(...children.filter((child) => child !== null && child !== ""));
    return node;
  }

  function shape(tag, attributes, ...children) {
    const node = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
    node.append(...children);
    return node;
  }

  function place(source, column) {
    if (!source) return "whole job";
    const [file, sheet, row] = source;
    const where = column ? `cell ${column}${row}` : row ? `row ${row}` : "whole file";
    return [ONE_FILE ? "" : file, sheet, where].filter(Boolean).join(", ");
  }

  const rowText = ([, , , cells]) => cells.join(" | ");
  const tag = (word) => el("span", { class: `tag ${word}` }, word);
  const signLink = (id) => el("a", { href: `#signs.q=${encodeURIComponent(id)}` }, id);

  // ---- lists that are searched, filtered and shown a page at a time

  class List {
    constructor(name, { items, noun, size, text, draw, filters }) {
      Object.assign(this, { name, items, noun, size, draw, filters, page: 0 });
      this.form = document.querySelector(`#${name} form`);
      this.body = document.getElementById(`${name}-list`);
      this.count = document.getElementById(`${name}-count`);
      this.pager = document.getElementById(`${name}-pager`);
      this.texts = items.map((item) => text(item).toLowerCase());
      for (const [field, { all, value, order }] of Object.entries(filters)) this.fill(field, all, value, order);
      let timer = 0;
      this.form.addEventListener("input", () => {
        clearTimeout(timer);
        timer = setTimeout(() => this.change(), 60);
      });
      this.form.addEventListener("submit", (event) => event.preventDefault());
      this.form.addEventListener("reset", () => setTimeout(() => this.change(), 0));
      this.previous = el("button", { type: "button" }, "Previous page");
      this.next = el("button", { type: "button" }, "Next page");
      this.where = el("span", {});
      this.previous.addEventListener("click", () => this.turn(-1));
      this.next.addEventListener("click", () => this.turn(1));
      this.pager.append(this.previous, this.where, this.next);
      lists[name] = this;
    }

    fill(field, all, value, order) {
      const counts = new Map((order || []).map((word) => [word, 0]));
      for (const item of this.items) counts.set(value(item), (counts.get(value(item)) || 0) + 1);
      const words = order ? [...counts.keys()] : [...counts.keys()].sort();
      const select = this.form.elements[field];
      select.append(el("option", { value: "" }, all));
      for (const word of words)
        if (counts.get(word)) select.append(el("option", { value: `=${word}` }, `${word || "not said"} (${counts.get(word)})`));
    }

    change() {
      this.page = 0;
      this.show();
      keepState();
    }

    turn(step) {
      this.page += step;
      this.show();
      keepState();
      document.getElementById(this.name).scrollIntoView();
      const other = step > 0 ? this.previous : this.next;
      if ((step > 0 ? this.next : this.previous).disabled) other.focus({ preventScroll: true });
    }

    chosen() {
      const wanted = this.form.elements.q.value.toLowerCase().split(/\s+/).filter(Boolean);
      const tests = Object.entries(this.filters)
        .map(([field, { value }]) => [this.form.elements[field].value, value])
        .filter(([word]) => word);
      return this.items.filter(
        (item, at) =>
          tests.every(([word, value]) => word === `=${value(item)}`) && wanted.every((part) => this.texts[at].includes(part)),
      );
    }

    show() {
      const found = this.chosen();
      const pages = Math.max(1, Math.ceil(found.length / this.size));
      this.page = Math.min(Math.max(this.page, 0), pages - 1);
      const from = this.page * this.size;
      const shown = found.slice(from, from + this.size);
      this.body.replaceChildren(...shown.map((item) => this.draw(item)));
      const range = shown.length ? `, showing ${from + 1} to ${from + shown.length}` : "";
      this.count.textContent = `${found.length} of ${this.items.length} ${this.noun}${range}`;
      this.where.textContent = `Page ${this.page + 1} of ${pages}`;
      this.previous.disabled = this.page === 0;
      this.next.disabled = this.page === pages - 1;
      this.pager.hidden = pages === 1;
    }
  }

  // ---- the filters in the address, so that a view can be sent on: #signs.q=lobby&signs.status=%3Dheld

  function keepState() {
    const state = new URLSearchParams();
    for (const [name, list] of Object.entries(lists)) {
      for (const control of list.form.elements) {
        if (control.name && control.value && control.name !== "scale") state.set(`${name}.${control.name}`, control.value);
      }
      if (list.page) state.set(`${name}.page`, list.page + 1);
    }
    history.replaceState(null, "", state.size ? `#${state}` : " ");
  }

  function readState() {
    const hash = location.hash.slice(1);
    if (!hash.includes("=")) return;
    const state = new URLSearchParams(hash);
    let first = "";
    for (const [name, list] of Object.entries(lists)) {
      const own = [...state.keys()].filter((key) => key.startsWith(`${name}.`));
      if (!own.length) continue;
      first = first || name;
      for (const field of ["q", ...Object.keys(list.filters)]) list.form.elements[field].value = "";
      for (const key of own) {
        const control = list.form.elements[key.slice(name.length + 1)];
        if (control) control.value = state.get(key);
      }
      list.page = Number(state.get(`${name}.page`) || 1) - 1;
      list.show();
    }
    if (first) document.getElementById(first).scrollIntoView();
  }

  // ---- flags

  function flagRow(flag) {
    const measured = flag.measured ? el("p", {}, `Measured ${flag.measured}; required ${flag.required}.`) : null;
    return el(
      "tr",
      {},
      el("td", {}, tag(flag.severity)),
      el("td", {}, place(flag.row, flag.column)),
      el("td", { class: "given" }, flag.given),
      el("td", {}, flag.message, measured, el("div", { class: "code" }, [flag.code, flag.clause].filter(Boolean).join("; "))),
      el("td", {}, flag.fix),
      el("td", {}, flag.who),
      el("td", { class: "id" }, flag.sign ? signLink(flag.sign) : ""),
    );
  }

  // ---- signs

  function drawSign(sign, scale) {
    const [, plate, ...outlines] = sign.needs;
    const [, width, height, edge, border, pictogram, openings, dotWidth, [base, letter, dome]] = data.shared[plate];
    const drawnWidth = width + 2 * SIDE_MM, drawnHeight = height + 2 * SIDE_MM + 6;
    const picture = shape("svg", {
      width: `${(drawnWidth * scale).toFixed(3)}mm`,
      height: `${(drawnHeight * scale).toFixed(3)}mm`,
      viewBox: `${-SIDE_MM} ${-SIDE_MM} ${drawnWidth} ${drawnHeight}`,
      role: "img",
      "aria-label": `Drawing of sign ${sign.id}: ${sign.lines.join(", ")}. Braille: ${sign.braille.map((line) => line[2] || line[0]).join(", ")}.`,
    });
    const used = new Set();
    const defs = shape("defs", {});
    const letters = shape("g", { fill: letter, "fill-rule": "evenodd" });
    for (const [y, ...placed] of sign.letters) {
      for (let at = 0; at < placed.length; at += 2) {
        const glyph = placed[at];
        const name = `${sign.id}-g${glyph}`;
        if (!used.has(glyph)) defs.append(shape("path", { id: name, d: data.shared[outlines[glyph]][1] }));
        used.add(glyph);
        letters.append(shape("use", { href: `#${name}`, x: placed[at + 1], y }));
      }
    }
    const thin = { fill: base, stroke: "#6b6b6b", "stroke-width": 0.3 };
    const round = { fill: "none", "stroke-linecap": "round" };
    picture.append(defs, shape("path", { d: edge, ...thin }));
    if (openings) picture.append(shape("path", { d: openings, fill: "#ffffff", stroke: "#6b6b6b", "stroke-width": 0.3 }));
    for (const d of [border, pictogram]) if (d) picture.append(shape("path", { d, fill: letter, "fill-rule": "evenodd" }));
    picture.append(letters);
    const dots = sign.dots.flatMap(([y, ...across]) => across.map((x) => `M${x} ${y}h0`)).join("");
    if (dots) picture.append(shape("path", { d: dots, stroke: dome, "stroke-width": dotWidth, ...round }));
    const bottom = height + SIDE_MM;
    picture.append(
      shape("path", { d: `M0 ${bottom}v2h${MM_PER_INCH}v-2`, fill: "none", stroke: "currentColor", "stroke-width": 0.4 }),
      shape("text", { x: MM_PER_INCH + 2, y: bottom + 2.6, "font-size": 3.6, fill: "currentColor" }, "1 in"),
    );
    return picture;
  }

  // Dot numbers of a braille pattern, U+2800 and the bits above it: 1 to 6, "0" for the blank cell.
  function points(cells) {
    return [...cells]
      .map((cell) => {
        const bits = cell.codePointAt(0) - 0x2800;
        return [1, 2, 3, 4, 5, 6].filter((dot) => bits & (1 << (dot - 1))).join("") || "0";
      })
      .join(" ");
  }

  function facts(pairs) {
    const list = el("dl", { class: "facts" });
    for (const [name, value] of pairs) if (value) list.append(el("dt", {}, name), el("dd", {}, value));
    return list;
  }

  function table(caption, heads, rows) {
    const head = el("tr", {}, ...heads.map((word) => el("th", { scope: "col" }, word)));
    const hidden = el("caption", { class: "hidden" }, caption);
    const region = { class: "scroll", role: "region", "aria-label": caption, tabindex: "0" };
    return el("div", region, el("table", {}, hidden, el("thead", {}, head), el("tbody", {}, ...rows)));
  }

  const row = (...cells) => el("tr", {}, ...cells.map((cell) => (cell instanceof Node ? cell : el("td", {}, cell))));

  // A sign has value and margin of every limit its rules name, one rule after the other, and where it was measured.
  function verdictsOf(sign) {
    if (!sign.needs.length) return [];
    let at = 0;
    return data.shared[sign.needs[0]][0].map((name, number) => {
      const [, rule, outcome, whyNot, limits] = data.shared[name];
      const measured = limits.map(([limit, unit, clause]) => {
        const [value, margin, where] = [sign.measured[2 * at], sign.measured[2 * at + 1], sign.where[at]];
        at += 1;
        return [`${value} ${unit}`, limit, `${margin} ${unit}`, clause, where];
      });
      return { rule, outcome, measured, words: [...(sign.said[number] || []), whyNot].filter(Boolean).join(" ") };
    });
  }

  function verdictRows(verdicts) {
    return verdicts.flatMap(({ rule, outcome, measured, words }) => {
      const line = (...cells) => row(rule, el("td", {}, tag(outcome)), ...cells);
      if (!measured.length) return [line("", "", "", "", words)];
      return measured.map(([value, limit, margin, clause, where]) => line(value, limit, margin, clause, [words, where].filter(Boolean).join(" ")));
    });
  }

  function ruleTable(sign) {
    const verdicts = verdictsOf(sign);
    if (!verdicts.length) return el("p", {}, "No rule was applied: there is no drawing.");
    const counts = new Map();
    for (const { outcome } of verdicts) counts.set(outcome, (counts.get(outcome) || 0) + 1);
    const words = [...counts].map(([outcome, count]) => `${count} ${outcome}`).join(", ");
    const box = el("details", {}, el("summary", {}, `${verdicts.length} rules: ${words}`));
    const heads = ["Rule", "Outcome", "Measured", "Limit", "Margin", "Clause", "Where, or why not"];
    box.addEventListener("toggle", () => {
      if (box.open && !box.querySelector("table")) box.append(table(`Rules of sign ${sign.id}`, heads, verdictRows(verdicts)));
    });
    if (counts.get("flagged") || counts.get("not checked")) box.open = true;
    return box;
  }

  function flagList(sign) {
    const items = sign.flags.map((flag) => {
      const more = [flag.measured && `Measured ${flag.measured}; required ${flag.required}.`, flag.fix, flag.who && `Decides: ${flag.who}.`];
      return el("li", {}, tag(flag.severity), ` ${flag.message} ${more.filter(Boolean).join(" ")} `, el("span", { class: "code" }, flag.code));
    });
    return items.length ? el("ul", { class: "flat" }, ...items) : el("p", {}, "None.");
  }

  function signCard(sign) {
    const scale = Number(document.getElementById("signs-scale").value);
    const figure = el("figure", {});
    const ratio = { 0.25: "1 : 4", 0.5: "1 : 2", 1: "1 : 1" }[scale];
    if (!sign.needs.length) figure.append(el("figcaption", {}, "No drawing could be made; the flags say why."));
    else {
      const pixels = ((data.shared[sign.needs[1]][1] + 2 * SIDE_MM) * scale * 96) / MM_PER_INCH;
      const wide = pixels > Math.min(MOST_PIXELS, innerWidth - 90) ? { tabindex: "0", role: "region", "aria-label": `Drawing of sign ${sign.id}` } : {};
      figure.append(
        el("div", wide, drawSign(sign, scale)),
        el("figcaption", {}, `Plate ${sign.size}, drawn ${ratio} (the bar is 1 in)${sign.status === "held" ? "; held: not for production" : ""}.`),
      );
    }
    const braille = sign.braille.map(([text, cells, back]) =>
      row(text, el("td", {}, el("span", { class: "cells" }, cells), el("div", { class: "points" }, points(cells))), back || "not made"),
    );
    const changes = sign.changes.map(([field, before, after, rule]) => el("li", {}, `${field}: ${before || "(empty)"} became ${after || "(empty)"} (${rule})`));
    return el(
      "article",
      { class: scale === 1 ? "sign full" : "sign", "aria-label": `Sign ${sign.id}` },
      figure,
      el(
        "div",
        {},
        el("h3", {}, `${sign.id} `, tag(sign.status)),
        facts([
          ["Raised text", sign.lines.join(" / ")],
          ["Level", sign.level],
          ["Door", sign.door],
          ["Room", sign.room],
          ["Sign type", sign.type],
          ["Read from", sign.side],
          ["Quantity", String(sign.quantity)],
          ["Insert", sign.insert],
          ["Why this sign", `${sign.why} (rule ${sign.rule})`],
          ["Source", place(sign.row, "")],
          ["Row as given", el("span", { class: "given" }, rowText(sign.row))],
          ["Since the issue before", sign.change],
          ["To make it fit", sign.remedies.join("; ")],
          ["Files", sign.files.join(", ")],
        ]),
        changes.length ? el("h4", {}, "Changes to the text") : null,
        changes.length ? el("ul", { class: "flat" }, ...changes) : null,
        el("h4", {}, `Braille${sign.code ? ` (${sign.code})` : ""}`),
        braille.length ? table(`Braille of sign ${sign.id}`, ["Raised text", "Cells and their dots", "Read back"], braille) : el("p", {}, "None."),
        el("h4", {}, "Flags and questions"),
        flagList(sign),
        el("h4", {}, "Rules"),
        ruleTable(sign),
      ),
    );
  }

  // ---- rows without a sign

  function unsignedRow(item) {
    const links = item.signs.flatMap((id) => [" ", signLink(id)]);
    return row(
      el("td", {}, tag(item.outcome)),
      place(item.row, ""),
      item.door,
      el("td", { class: "given" }, item.name),
      el("td", {}, `${item.why} (rule ${item.rule})`, ...links),
      el("td", { class: "given" }, rowText(item.row)),
    );
  }

  const flagText = (flag) => [flag.code, flag.message, flag.given, flag.fix, flag.who, flag.sign, flag.door, flag.clause, place(flag.row, flag.column)].join(" ");
  new List("flags", {
    items: data.flags,
    noun: "flags",
    size: 100,
    text: flagText,
    draw: flagRow,
    filters: {
      severity: { all: "any", value: (flag) => flag.severity, order: ["STOP", "HOLD", "ASK", "NOTE"] },
      who: { all: "anybody", value: (flag) => flag.who },
      code: { all: "any", value: (flag) => flag.code },
    },
  });
  new List("signs", {
    items: data.signs,
    noun: "signs",
    size: 20,
    text: (sign) => [sign.id, sign.lines.join(" "), sign.level, sign.door, sign.room, sign.type, sign.change, rowText(sign.row), ...sign.flags.map((flag) => flag.code)].join(" "),
    draw: signCard,
    filters: {
      status: { all: "any", value: (sign) => sign.status },
      level: { all: "any", value: (sign) => sign.level },
      type: { all: "any", value: (sign) => sign.type },
    },
  });
  new List("unsigned", {
    items: data.unsigned,
    noun: "rows",
    size: 100,
    text: (item) => [item.door, item.name, item.why, item.rule, rowText(item.row), place(item.row, "")].join(" "),
    draw: unsignedRow,
    filters: { outcome: { all: "any", value: (item) => item.outcome } },
  });
  if (innerWidth < 740) document.getElementById("signs-scale").value = "0.25";
  for (const list of Object.values(lists)) list.show();
  readState();
  addEventListener("hashchange", readState);
})();
