"""What the page looks like: one column to read, light or dark as the reader's screen is, plain on paper."""

CSS = """
:root {
  color-scheme: light dark;
  --back: #ffffff; --card: #f5f7f9; --ink: #1f2329; --soft: #59636e; --pale: #6e7781; --line: #d3d9df;
  --on-fill: #ffffff; --blue: #0b62b4; --red: #c2410c; --orange: #b4690c; --green: #1a7f4b;
}
@media (prefers-color-scheme: dark) {
  :root {
    --back: #14181d; --card: #1d232a; --ink: #e4e8ec; --soft: #a5afb9; --pale: #8d98a3; --line: #333c46;
    --on-fill: #10141a; --blue: #62b0f5; --red: #ff8a5c; --orange: #e9a44c; --green: #5fd39a;
  }
}
* { box-sizing: border-box; }
body {
  margin: 0 auto; max-width: 62rem; padding: 2.5rem 1.5rem 4rem; background: var(--back); color: var(--ink);
  font: 1rem/1.55 system-ui, "Segoe UI", "Helvetica Neue", "DejaVu Sans", sans-serif;
  font-variant-numeric: tabular-nums;
}
h1 { font-size: 1.9rem; line-height: 1.2; margin: 0 0 .3rem; }
h2 { font-size: 1.3rem; margin: 3rem 0 .6rem; padding-top: 1rem; border-top: 1px solid var(--line); }
h3 { font-size: 1.02rem; margin: 1.6rem 0 .3rem; }
p { margin: .5rem 0; max-width: 46rem; }
.soft, figcaption, caption { color: var(--soft); font-size: .9rem; }
.tiles { display: grid; grid-template-columns: repeat(auto-fit, minmax(8.9rem, 1fr)); gap: .8rem; margin: 1.4rem 0; }
.tile { background: var(--card); border-radius: .6rem; padding: .8rem 1rem; break-inside: avoid; }
.tile b { display: block; font-size: 1.5rem; line-height: 1.25; }
.tile span { display: block; font-size: .85rem; color: var(--soft); line-height: 1.35; }
.good { color: var(--green); } .bad { color: var(--red); } .mind { color: var(--orange); }
figure { margin: 1.2rem 0; overflow-x: auto; }
figure svg { display: block; width: 100%; min-width: 38rem; height: auto; }
figcaption { max-width: 46rem; margin-top: .3rem; }
table { border-collapse: collapse; margin: .8rem 0; width: 100%; font-size: .93rem; }
caption { text-align: left; padding-bottom: .4rem; }
th, td { text-align: right; padding: .32rem .6rem; border-bottom: 1px solid var(--line); vertical-align: top; }
th:first-child, td:first-child { text-align: left; padding-left: 0; font-weight: normal; }
thead th { font-weight: 600; border-bottom: 2px solid var(--line); }
tbody th.group { font-weight: 600; padding-top: .9rem; }
ul.findings { list-style: none; margin: .3rem 0; padding: 0; }
ul.findings li { margin: .45rem 0; padding-left: .9rem; border-left: 3px solid var(--line); max-width: 50rem; }
ul.findings li.error { border-color: var(--red); } ul.findings li.warning { border-color: var(--orange); }
code { font: .88em ui-monospace, "DejaVu Sans Mono", monospace; overflow-wrap: anywhere; }
summary { cursor: pointer; }
@media print {
  :root { color-scheme: light; }
  body { max-width: none; padding: 0; font-size: 10pt; }
  h2 { break-after: avoid; } figure, table { break-inside: avoid; } figure svg { min-width: 0; }
}
"""
