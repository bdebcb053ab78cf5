"""How a form looks: on a screen in the hand, and on paper in black and white."""

STYLE = """
header, main, footer { max-width: 60rem; }
.kind { font: 1rem system-ui, "Helvetica Neue", Arial, sans-serif; color: #333; margin: 1.5rem 0 -.6rem; }
.standing { font: 1rem system-ui, "Helvetica Neue", Arial, sans-serif; font-weight: 600; }
.digest { font: .85rem/1.5 ui-monospace, Consolas, monospace; overflow-wrap: anywhere; }
header, main, footer { font-family: system-ui, "Helvetica Neue", Arial, sans-serif; color: #000; }
main dt, main .clause { color: #333; }
.clause { font-size: .85em; white-space: nowrap; }
.clause::before { content: "["; } .clause::after { content: "]"; }
#cautions { border: 3px solid #000; padding: 0 1rem .6rem; }
#cautions h2 { border: 0; margin: .6rem 0 .3rem; padding: 0; }
#cautions li { font-weight: 600; }
ul.plain, ul.checks { padding-left: 0; list-style: none; margin: .4rem 0; }
ul.plain li { padding: .25rem 0; overflow-wrap: anywhere; }
ul.checks li { padding: .5rem 0; border-bottom: 1px solid #999; overflow-wrap: anywhere; }
.sentence { margin: .15rem 0; color: #333; }
.write { display: inline-block; min-width: 6.5rem; border-bottom: 2px solid #000; height: 1.2em; }
.boxes { display: grid; grid-template-columns: 1fr; gap: 1rem 1.5rem; }
.box { min-width: 0; }
.box label { display: block; font-weight: 600; overflow-wrap: anywhere; }
.box label i { font-weight: 400; font-style: normal; color: #333; }
.besides label { font-weight: 400; }
.entry { display: flex; gap: .5rem; align-items: stretch; flex-wrap: wrap; }
input, select, button { font: inherit; font-size: 1.15rem; color: #000; background: #fff; border: 2px solid #000;
  border-radius: 4px; min-height: 48px; padding: .3rem .6rem; box-sizing: border-box; min-width: 48px; }
.entry input { flex: 1 1 8rem; width: 8rem; }
.entry select { flex: 0 1 auto; max-width: 100%; }
.of-choice .entry select, .of-yes-no .entry select { flex: 1 1 8rem; }
button { font-weight: 600; background: #fff; cursor: pointer; padding: .3rem 1rem; }
input:focus-visible, select:focus-visible, button:focus-visible, summary:focus-visible {
  outline: 4px solid #003f8a; outline-offset: 2px; }
.said p { margin: .15rem 0; overflow-wrap: anywhere; }
.what { color: #333; font-size: .95rem; }
.write.short { min-width: 4rem; }
.by { white-space: nowrap; }
.letter { border: 1px solid #000; font-weight: 700; padding: 0 .25em; }
.decides { font-weight: 700; }
.ticks, .tick, .sign, .number, .below, #how { display: none; }
h4 { font-size: 1.05rem; margin: 1.2rem 0 .4rem; }
.part { margin: 0 0 1.5rem; }
.stop { border: 3px solid #000; padding: .5rem .8rem; margin: .4rem 0 .8rem; font-size: 1.2rem; }
.stop .halt { font-size: 1.4rem; letter-spacing: .06em; }
.stop .past { font-size: 1.05rem; }
.item { border: 2px solid #000; border-radius: 4px; padding: .2rem 1rem 1rem; margin: 1.2rem 0; }
.item > h3 { font-size: 1.3rem; margin: .8rem 0 .6rem; }
summary { min-height: 44px; font-weight: 600; padding: .6rem 0; box-sizing: border-box; cursor: pointer; }
.rows .row { display: grid; grid-template-columns: 1fr; gap: .6rem 1rem; padding: .8rem 0;
  border-bottom: 1px solid #999; }
#live { position: sticky; bottom: 0; background: #fff; border-top: 4px solid #000; padding: .5rem 0; margin: 0; }
#live[hidden] { display: none; }
#live h2 { border: 0; margin: 0; padding: 0; font-size: 1rem; }
#live p { margin: .2rem 0; }
#verdict { font-weight: 700; }
.buttons { display: flex; flex-wrap: wrap; gap: .5rem; }
.buttons button { font-size: 1rem; padding: .3rem .6rem; }
@media (max-width: 34rem) { .buttons button { flex: 1 1 40%; } }
@media (min-width: 48rem) {
  .boxes { grid-template-columns: 1fr 1fr; }
  .rows .row { grid-template-columns: repeat(auto-fit, minmax(12rem, 1fr)); }
}
@media print {
  @page { margin: 15mm 13mm 12mm; }
  html { font-size: 11pt; }
  body { color: #000; }
  header, main, footer { max-width: none; padding: 0 .4mm; }
  .part-of-form > h2, .part-of-form > .what, .part > h3, .part > h4 { break-after: avoid; }
  .kind, .standing { font-size: 11pt; color: #000; margin: 0; }
  h1 { font-size: 17pt; margin: .1rem 0 .2rem; }
  h2 { font-size: 14pt; margin: 3mm 0 1mm; padding-top: 1mm; border-top-width: 2pt; }
  h3 { font-size: 12pt; line-height: 1.2; margin: 1.5mm 0 .5mm; }
  h4 { font-size: 11.5pt; margin: 2.5mm 0 1mm; }
  dt { font-size: 11pt; color: #000; line-height: inherit; }
  footer { display: none; }
  .digest { font-size: 9pt; }
  .clause { font-size: 9pt; color: #000; }
  #live, .sentence, .what, .asked-of { display: none; }
  .what.paper { display: block; font-size: 11pt; color: #000; margin: 0 0 1mm; }
  #besides .what.paper { display: none; }
  .person h3, .person .what.paper { display: inline; } .person .said { padding: 0; }
  .person.part { margin-bottom: 2mm; }
  .boxes { grid-template-columns: 1fr 1fr 1fr; gap: 0 5mm; }
  :is(#before, #after) .boxes:has(> :nth-child(2):last-child) { grid-template-columns: 1fr 1fr; }
  :is(#before, #after) .boxes:has(> :only-child) { grid-template-columns: 1fr; }
  :is(#before, #after) .boxes:has(> :only-child) .entry { max-width: 58mm; }
  .item .part:not(.untitled) .deciding { grid-column: span 2; }
  .item .part:has(.deciding:nth-child(2):nth-last-child(2)) > .boxes { gap: 0 4mm;
    grid-template-columns: 35mm 1fr 1fr 37mm; }
  .deciding .entry { max-width: 54mm; }
  .decides { font-size: 12pt; } .decides .clause { font-weight: 400; }
  .decides .past { font-weight: 400; font-size: 11pt; }
  #how { display: block; break-inside: avoid; margin-top: 3mm; }
  #how h2 { font-size: 12pt; border: 0; margin: 0; padding: 0; }
  #how code { font-size: 9pt; color: #000; }
  .dials { break-inside: avoid; border: 1pt solid #000; padding: 0 3mm 1mm; }
  .how { margin: 0 0 1mm; line-height: 1.2; }
  [data-known] .tick { visibility: hidden; }
  [data-known] .where { display: none; }
  [data-known]::after { font-style: italic; }
  [data-known="met"]::after { content: " holds by what is printed above"; }
  [data-known="not applicable"]::after { content: " does not apply here"; }
  [data-known="not met"]::after { content: " does not hold by what is printed above"; font-weight: 700; }
  #besides .boxes, .rows .boxes { grid-template-columns: 1fr 1fr 1fr 1fr; gap: 0 4mm; }
  .box { break-inside: avoid; display: grid; grid-row: span 3; grid-template-columns: minmax(0, 1fr);
    grid-template-rows: subgrid; align-content: start; }
  .box label { font-size: 11pt; line-height: 1.15; align-self: end; }
  .said { font-size: 11pt; line-height: 1.2; padding-bottom: .8mm; }
  .said p { margin: .3mm 0; }
  .entry { gap: 0 1.5mm; align-items: center; flex-wrap: nowrap; align-self: start; margin-top: .5mm; }
  input, select { border: 1pt solid #000; border-radius: 0; min-height: 9.5mm; height: 9.5mm; font-size: 12pt;
    padding: 0 1.5mm; appearance: none; background: #fff; }
  .entry input { width: auto; min-width: 12mm; flex: 1 1 12mm; }
  .entry select { flex: 0 0 auto; border: 0; padding: 0; min-width: 0; }
  ::placeholder { color: transparent; }
  select:has(option[value=""]:checked) { display: none; }
  select:not(:has(option[value=""]:checked)) + .ticks { display: none; }
  .ticks { display: inline-flex; flex-wrap: wrap; gap: 0 3mm; line-height: 1.3; }
  .mark { white-space: nowrap; }
  .tick { display: inline-block; width: 4mm; height: 4mm; border: 1pt solid #000; margin-right: 1.5mm;
    vertical-align: -.6mm; }
  #besides input { min-height: 8mm; height: 8mm; }
  .of-quantity .entry:has(.ticks) { flex-wrap: wrap; }
  .grid { break-inside: avoid; }
  .grid table { width: 100%; margin: 0 0 1.5mm; }
  .grid th, .grid td { padding: .5mm 3mm .5mm 0; white-space: nowrap; font-size: 11pt; }
  caption { font-size: 11pt; color: #000; }
  .part { margin: 0 0 1mm; }
  .item .aside { display: none; }
  .stop { border: 2pt solid #000; padding: 1mm 3mm; margin: 1mm 0 2mm; font-size: 13pt; break-after: avoid;
    break-inside: avoid; }
  .stop .halt { font-size: 17pt; }
  .stop .past { font-size: 11pt; }
  .item { border: 1.5pt solid #000; border-radius: 0; padding: 1mm 4mm; margin: 0 0 3mm; break-inside: avoid; }
  .few { display: grid; grid-template-columns: 1fr 1fr; gap: 3mm; }
  .few .item { margin: 0; }
  .few .item .part .boxes { grid-template-columns: 1fr 1fr; }
  .few .item .part .deciding:not(:only-child) { grid-column: auto; }
  .few .item > h3 + .alone .entry input { width: 28mm; }
  .item > h3 { font-size: 14pt; margin: 1mm 0; }
  .item .part { margin: 0; }
  .item h4 { margin: 1.5mm 0 .5mm; }
  .item .part:has(> .stop) { display: grid; grid-template-columns: 28mm 1fr; }
  .item .part:has(> .stop) > * { grid-column: 1 / -1; min-width: 0; }
  .item .part:has(> .stop) > h4 { grid-column: 1; margin: 0 2mm 0 0; align-self: center; line-height: 1.15; }
  .item .part:has(> .stop) > .stop { grid-column: 2; }
  .item .stop { margin: .5mm 0 1mm; padding: .6mm 3mm; }
  .item .said { padding-bottom: .6mm; }
  .item .lent { font-size: 9pt; margin: 1mm 0 0; } .lent b { font-weight: 400; }
  .item .below { display: block; margin: 0 0 .8mm; line-height: 1.2; }
  .item > .tail .boxes { grid-template-columns: 2fr 1fr 1fr 1fr; gap: 0 3mm; }
  .item > .untitled .boxes { margin-top: 1mm; }
  .item > h3:has(+ .alone) { float: left; }
  .item > h3 + .alone .boxes { display: block; margin: 0; }
  .item > h3 + .alone .box { display: flex; gap: 3mm; justify-content: flex-end; align-items: center; }
  .item > h3 + .alone .entry input { width: 55mm; flex: none; height: 8mm; min-height: 8mm; }
  .item > h3 + .alone .said { display: none; }
  .item > h3 + .alone .box label { align-self: center; }
  ul.checks { columns: 2; column-gap: 8mm; margin: 0; }
  ul.checks li { border: 0; padding: .4mm 0 .4mm 6mm; text-indent: -6mm; break-inside: avoid; line-height: 1.2; }
  ul.checks li b { font-weight: 400; }
  ul.plain li { padding: .3mm 0; line-height: 1.2; break-inside: avoid; }
  #left li { padding-left: 6mm; text-indent: -6mm; }
  .rows { display: grid; grid-template-columns: 1fr 1fr; gap: 0 8mm; }
  .rows > h3, .rows > h4, .rows > p { grid-column: 1 / -1; }
  .rows .row { grid-template-columns: 6mm; grid-auto-columns: minmax(0, 1fr); grid-auto-flow: column;
    grid-template-rows: auto auto; gap: 0 3mm; padding: .5mm 0; border: 0; break-inside: avoid; }
  .rows .row .box { grid-row: 1 / span 2; }
  .rows .number { grid-row: 1 / span 2; align-self: end; padding-bottom: 2.5mm; }
  .number { display: block; align-self: center; }
  .rows.long { grid-template-columns: 1fr; }
  .rows.long .row { grid-template-columns: 6mm 1fr 1fr 1fr; grid-auto-flow: row; grid-template-rows: none;
    gap: 1mm 5mm; }
  .rows.long { break-inside: avoid; }
  .rows:not(.long) .row:nth-of-type(n + 3) label { display: none; }
  .rows.long .row .box { grid-row: auto; display: block; }
  .rows.long .number { grid-row: auto; align-self: start; padding: 0; }
  .rows.long .row .box:nth-of-type(3n + 1) { grid-column: 2; }
  .person { break-inside: avoid; }
  .person .boxes { grid-template-columns: 1fr 1fr 1fr; }
  .sign { display: flex; gap: 5mm; margin: 8mm 0 0; }
  .sign span { border-top: 1pt solid #000; flex: 1; } .sign span:first-child { flex: 2; }
  #cautions { border-width: 2pt; padding: 0 3mm 1mm; break-inside: avoid; }
}
"""
