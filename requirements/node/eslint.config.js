// What is checked in the scripts: likely mistakes, names that exist, and a line that can be read. No build step.
import js from "@eslint/js";
import globals from "globals";

const placeholders = /\{\{[^}]*\}\}/g; // what the server writes into the phone's worker

export default [
  { ignores: ["**/vendor/", "**/node_modules/", "**/.venv/", ".local/", "static-collected/"] },
  js.configs.recommended,
  {
    files: ["**/*.{js,mjs}"],
    languageOptions: { ecmaVersion: 2022, sourceType: "module" },
    linterOptions: { reportUnusedDisableDirectives: "error" },
    rules: {
      "array-callback-return": "error",
      "consistent-this": "error",
      "default-case-last": "error",
      eqeqeq: "error",
      "func-style": ["error", "declaration", { allowArrowFunctions: true }],
      "max-len": ["error", { code: 120 }],
      "max-lines": ["error", 500],
      "max-lines-per-function": ["error", 60],
      "no-alert": "off", // signing out asks by the browser's own question, which holds the page still
      "no-constructor-return": "error",
      "no-eval": "error",
      "no-implied-eval": "error",
      "no-new-func": "error",
      "no-param-reassign": "error",
      "no-self-compare": "error",
      "no-shadow": "error",
      "no-template-curly-in-string": "error",
      "no-throw-literal": "error",
      "no-undef-init": "error",
      "no-unmodified-loop-condition": "error",
      "no-unused-expressions": ["error", { allowShortCircuit: true }],
      "no-use-before-define": ["error", { functions: false, variables: false }],
      "no-useless-return": "error",
      "no-var": "error",
      "object-shorthand": "error",
      "prefer-const": ["error", { destructuring: "all" }],
      "prefer-template": "error",
      radix: "error",
      "require-atomic-updates": "off", // our modules' state is meant to change while something is awaited
    },
  },
  { files: ["*/static/**/*.js"], languageOptions: { globals: globals.browser } },
  {
    files: ["templates/**/*.js"],
    languageOptions: { sourceType: "script", globals: globals.serviceworker },
    processor: {
      preprocess: (text) => [text.replaceAll(placeholders, (found) => `"${found.slice(1, -1)}"`)],
      postprocess: (messages) => messages.flat(),
    },
  },
  {
    files: ["tests/scripts/**", "requirements/node/**"],
    languageOptions: { globals: globals.nodeBuiltin },
    rules: { "max-lines-per-function": "off" },
  },
];
