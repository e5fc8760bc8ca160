// CSS selectors as far as the script modules use them: tags, ids, classes, attributes, :not() and descendants.
const PART = new RegExp(
  [
    /#(?<id>[\w-]+)/,
    /\.(?<cls>[\w-]+)/,
    /\[(?<attribute>[\w-]+)(?:="?(?<value>[^\]"]*)"?)?\]/,
    /:not\((?<not>[^)]+)\)/,
    /(?<tag>[\w-]+)/,
  ].map((each) => each.source).join("|"),
  "y",
);

function fitsPart({ id, cls, attribute, value, not, tag }) {
  if (id) return (element) => element.id === id;
  if (cls) return (element) => element.classList.contains(cls);
  if (not) return (element) => !element.matches(not);
  if (tag) return (element) => element.tagName === tag.toUpperCase();
  if (value === undefined) return (element) => element.hasAttribute(attribute);
  return (element) => element.getAttribute(attribute) === value;
}

function compound(text) {
  const parts = [];
  PART.lastIndex = 0;
  while (PART.lastIndex < text.length) {
    const found = PART.exec(text);
    if (!found) throw new Error(`The stand-in knows no selector such as ${text}`);
    parts.push(fitsPart(found.groups));
  }
  return (element) => parts.every((fits) => fits(element));
}

function complex(text) {
  const compounds = text.match(/(?:\[[^\]]*\]|[^\s[])+/g).map(compound);
  const last = compounds.pop();
  return (element) => {
    if (!last(element)) return false;
    let above = element.parentElement;
    for (const fits of [...compounds].reverse()) {
      while (above && !fits(above)) above = above.parentElement;
      if (!above) return false;
      above = above.parentElement;
    }
    return true;
  };
}

export function compile(selector) {
  const choices = selector.split(/,(?![^[(]*[\])])/).map((each) => complex(each.trim()));
  return (element) => choices.some((fits) => fits(element));
}
