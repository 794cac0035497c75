"""What this page has beside the common look of pages."""

from probewright.render.page.style import CSS as COMMON

#: Bands of figures: the palette for the colour-blind of Okabe and Ito, Color Universal Design, 2008, without black and
#: yellow; a little lighter on dark ground.
_LIGHT = """
  --band-0: #0072b2; --band-1: #d55e00; --band-2: #009e73; --band-3: #cc79a7; --band-4: #e69f00; --band-5: #56b4e9;
  --still: #b9c0c7; --cell: #0b62b4; --cell-other: #c2410c;
"""
#: The light colours of the common look: paper is light, whatever the screen is.
_PAPER = """
  --back: #ffffff; --card: #f5f7f9; --ink: #1f2329; --soft: #59636e; --pale: #6e7781; --line: #d3d9df;
  --on-fill: #ffffff; --blue: #0b62b4; --red: #c2410c; --orange: #b4690c; --green: #1a7f4b;
"""
_BANDS = f"""
:root {{{_LIGHT}}}
@media print {{ :root {{{_PAPER}{_LIGHT}}} }}
@media screen and (prefers-color-scheme: dark) {{
  :root {{
    --band-0: #3d9bd6; --band-1: #f0803c; --band-2: #2fc398; --band-3: #dd9dc0; --band-4: #f0b640; --band-5: #7cc7f2;
    --still: #4a545e; --cell: #62b0f5; --cell-other: #ff8a5c;
  }}
}}
"""
_FIGURES = """
svg text { font-size: 12px; fill: var(--ink); }
svg text.soft, svg tspan.soft { fill: var(--soft); font-size: 11px; }
svg text.head { font-weight: 600; }
svg text.end { text-anchor: end; } svg text.middle { text-anchor: middle; }
.still { fill: var(--still); fill-opacity: .55; }
.band-0 { fill: var(--band-0); } .band-1 { fill: var(--band-1); } .band-2 { fill: var(--band-2); }
.band-3 { fill: var(--band-3); } .band-4 { fill: var(--band-4); } .band-5 { fill: var(--band-5); }
path[class^="band"] { fill-opacity: .6; }
path[class^="band"]:hover, path.still:hover { fill-opacity: .95; }
.node { fill: var(--pale); }
.cell { fill: var(--cell); } .cell-other { fill: var(--cell-other); }
.axis { stroke: var(--pale); fill: none; } .grid { stroke: var(--line); fill: none; }
.equal { stroke: var(--pale); stroke-dasharray: 4 3; fill: none; }
.bar-bad { fill: var(--red); } .bar-good { fill: var(--green); } .bar-other { fill: var(--pale); }
.bar-changed { fill: var(--cell-other); } .bar-still { fill: var(--still); }
td.bar { width: 26%; min-width: 7rem; padding-right: 0; }
td.bar svg { display: block; width: 100%; height: .85rem; margin-top: .3rem; }
"""
_LISTS = """
.scroll { overflow-x: auto; }
h1, h3, figcaption, li, summary, p, tbody th { overflow-wrap: anywhere; }
thead th:first-child { font-weight: 600; }
tbody th:first-child { min-width: 9rem; }
p.told { max-width: 50rem; margin: .8rem 0 .2rem; }
.told + .scroll table { margin-top: .2rem; }
td { white-space: nowrap; } thead td { border-bottom: 2px solid var(--line); }
ul.asked { padding-left: 1.2rem; max-width: 50rem; } ul.asked li { margin: .3rem 0; }
ul.jobs { list-style: none; margin: .5rem 0; padding: 0; }
ul.jobs li { margin: .7rem 0; padding-left: .9rem; border-left: 3px solid var(--line); max-width: 50rem; }
ul.jobs li.danger { border-color: var(--red); } ul.jobs li.look { border-color: var(--orange); }
ul.jobs li { break-inside: avoid; }
p.lead { font-size: 1.08rem; max-width: 54rem; }
.key { display: inline-block; width: .8em; height: .8em; margin-left: 1em; border-radius: .15em; }
.key:first-child { margin-left: 0; }
.key.bad { background: var(--red); } .key.good { background: var(--green); } .key.pale { background: var(--pale); }
.key.still { background: var(--still); } .key.mind { background: var(--cell-other); }
@media (min-width: 60rem) { tbody th:first-child { min-width: 15rem; } }
@media (max-width: 40rem) { body { padding: 1.2rem .9rem 3rem; } h1 { font-size: 1.5rem; } }
@media print {
  :root { font-size: 10pt; }
  * { print-color-adjust: exact; }
  .scroll { overflow: visible; } td { white-space: normal; } tbody th:first-child { min-width: 7rem; }
  th, td { padding: .25rem .35rem; }
  table { break-inside: auto; } tr { break-inside: avoid; } h3 { break-after: avoid; }
  .tiles { grid-template-columns: repeat(6, 1fr); }
}
"""
CSS = COMMON + _BANDS + _FIGURES + _LISTS
