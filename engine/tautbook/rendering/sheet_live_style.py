"""How what the script shows looks: in words and rules, never by colour alone."""

LIVE_STYLE = """
[data-outcome]:not(:empty) { display: block; margin: .3rem 0; padding-left: .7rem; border-left: 4px solid #777; }
[data-is="not met"] [data-outcome] { font-weight: 700; border-left: 8px solid #000; }
[data-is="open"] [data-outcome] { border-left-style: dashed; }
.refused { margin: .3rem 0; padding: .3rem .6rem; border: 2px solid #8a0000; color: #8a0000; font-weight: 600;
  overflow-wrap: anywhere; }
.refused::before { content: "! "; }
[aria-invalid="true"] { border: 3px dashed #8a0000; }
.tally { font-weight: 400; }
@media screen { html { scroll-padding-bottom: 19rem; } }
#live { max-height: 45vh; overflow-y: auto; }
#live output { overflow-wrap: anywhere; }
#verdict[data-verdict="fail"], #verdict[data-verdict="invalid"], #verdict[data-verdict="none"] {
  border-left: 8px solid #000; padding-left: .6rem; }
#next { display: block; max-height: 4.6rem; overflow-y: auto; }
#next:focus-visible { outline: 4px solid #003f8a; outline-offset: -4px; }
.remark { margin: .3rem 0; padding-left: .7rem; border-left: 4px dashed #777; }
footer { overflow-wrap: anywhere; }
@media (max-width: 48rem) { #live .buttons { flex-wrap: nowrap; overflow-x: auto; }
  #live .buttons button { flex: none; } }
#told:empty, #kept:empty, #next:empty { display: none; }
#others button, .add { font-size: 1rem; }
.add { margin-top: .6rem; }
.row .remark { grid-column: 1 / -1; }
@media print { .add, .refused, .remark, .tally, [data-outcome]:not(:empty) { display: none; } }
"""
