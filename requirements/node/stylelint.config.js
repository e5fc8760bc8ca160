// What is checked in the styles: mistakes first, then what the look keeps to. No build step.
import { fileURLToPath } from "node:url";

export default {
  extends: "stylelint-config-recommended",
  rules: {
    "declaration-property-value-no-unknown": [
      true, // but for what only paper knows (CSS Generated Content for Paged Media)
      { ignoreProperties: { "string-set": "/.+/", content: "/string\\(/" } },
    ],
    "function-url-quotes": "always",
    "no-descending-specificity": null, // our layers are in the order of the page's parts, not of their selectors
    "length-zero-no-unit": true,
    "selector-pseudo-element-colon-notation": "double",
    "shorthand-property-no-redundant-values": true,
  },
  overrides: [
    {
      files: [fileURLToPath(new URL("../../*/static/*/pdf/*.css", import.meta.url))],
      rules: {
        "at-rule-descriptor-no-unknown": null, // a page's margin boxes take what any box takes
        "font-family-no-missing-generic-family-keyword": null, // a paper brings its letters with it
      },
    },
  ],
};
