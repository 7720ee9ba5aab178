// The words of the page in the reader's language, and the names of keys and hosts in it.

const tongue = { tag: "en", page: {}, keys: {}, signs: {}, direction: "ltr" };

/** The first language of the reader that the page has; else English. */
function readersLanguage(wanted) {
  for (const tag of wanted) {
    const parts = tag.split("-");
    for (; parts.length; parts.pop()) if (data.texts[parts.join("-")]) return parts.join("-");
  }
  return "en";
}

function useLanguage(tag) {
  const own = data.texts[tag], english = data.texts.en;
  tongue.tag = tag;
  tongue.direction = own.language.direction;
  for (const section of ["page", "keys", "signs"]) tongue[section] = { ...english[section], ...own[section] };
}

/** A text of the page with its places filled. */
function say(key, places = {}) {
  return tongue.page[key].replace(/\{([a-z]+)\}/g, (_, name) => places[name]);
}

const keyWord = (key, name) => tongue.keys[key].replace("{key}", name);

/** The names of keys in a text that was made in English: sides, the keypad, locks that are on. */
function keyText(text) {
  if (tongue.tag === "en") return text;
  return text
    .replace(/\b(left|right|keypad) ((?:Caps|Num|Scroll) Lock|[^\s,+]+|[+,])/g, (_, side, key) => keyWord(side, key))
    .replace(/(\S+) with Num Lock off/g, (_, key) => keyWord("num-off", key))
    .replace(/((?:Caps|Num|Scroll) Lock) on\b/g, (_, key) => keyWord("on", key))
    .replace(/, then /g, `, ${tongue.keys.then} `)
    .replace(/ or /g, ` ${tongue.keys.or} `);
}

/** What reaches a key of the machine as it is said. */
const reachText = (text) => spoken(keyText(text.replace(/\bnum (?=\S)/, "keypad ")));

/** A legend as it is read: a blank by its name; signs are drawn. */
function worded(text) {
  return text === " " ? tongue.keys.space : text;
}

/** A legend, or a text with signs in it, as it is said: each sign by its name. */
function spoken(text) {
  if (text === " " || !hasSign(text)) return worded(text);
  return [...text].map((char) => (isSign(char) ? ` ${tongue.signs[char]} ` : char)).join("").split(/\s+/).filter(Boolean).join(" ");
}

/** What a press does where that is no legend, made in English: a command, or a latch. */
function deed(text) {
  const command = /^command (\d+)$/.exec(text), latch = /^sets and frees (.+)$/.exec(text);
  if (command) return say("did-command", { number: command[1] });
  return latch ? say("latch", { what: latch[1] }) : text;
}

/** The country's keyboard by its tag, in the reader's language, as far as the browser knows it. */
function hostTitle(layout) {
  try {
    return new Intl.DisplayNames([tongue.tag], { type: "language" }).of(layout.host);
  } catch {
    return layout.hostTitle;
  }
}
