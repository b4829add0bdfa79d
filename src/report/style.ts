// The report's one style sheet: readable at a desk, light and dark, and in black on white when printed. No outside fonts or files.

/** CSS of the report; colours are chosen for a contrast of at least 4.5 to 1 in both schemes. */
export const STYLE = `
:root{color-scheme:light dark;--ink:#1b1b1b;--paper:#fff;--quiet:#555;--rule:#c8c8c8;--shade:#f2f0ea;--good:#155d27;--watch:#7a4b00;--bad:#9c1420;--mark:#1b1b1b}
@media (prefers-color-scheme:dark){:root{--ink:#ececec;--paper:#161616;--quiet:#b4b4b4;--rule:#4a4a4a;--shade:#242424;--good:#7fd796;--watch:#f0be6a;--bad:#ff9a9a;--mark:#ececec}}
*{box-sizing:border-box}
html{font-size:15px}
body{margin:0;background:var(--paper);color:var(--ink);font:1rem/1.45 system-ui,-apple-system,"Segoe UI",Roboto,"Helvetica Neue",Arial,sans-serif;overflow-wrap:break-word}
.skip{position:absolute;left:-999em}.skip:focus{left:1em;top:.5em;background:var(--paper);padding:.4em}
header,main,footer{max-width:60rem;margin:0 auto;padding:0 1.2rem}
h1{font-size:1.5rem;line-height:1.2;margin:1.2rem 0 .2rem}
h2{font-size:1.1rem;margin:1.2rem 0 .4rem;border-bottom:1px solid var(--rule);padding-bottom:.15rem;break-after:avoid}
h3{font-size:1rem;margin:.8rem 0 .3rem;break-after:avoid}
p{margin:.35rem 0}
.quiet{color:var(--quiet);font-size:.9rem}
dl.facts{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(19rem,100%),1fr));gap:.1rem 1.2rem;margin:.5rem 0;font-size:.92rem}
dl.facts div{display:flex;gap:.6rem}dl.facts dt{color:var(--quiet);flex:0 0 7rem}dl.facts dd{margin:0;flex:1;min-width:0}
.verdict{border:2px solid var(--mark);border-radius:6px;padding:.6rem .9rem;margin:.8rem 0;break-inside:avoid}
.verdict h2{border:0;margin:0 0 .3rem;padding:0;font-size:1.3rem}
.core{display:grid;grid-template-columns:repeat(auto-fit,minmax(14rem,1fr));gap:.6rem;list-style:none;padding:0;margin:.4rem 0}
.core:has(li:nth-child(4)){grid-template-columns:repeat(auto-fit,minmax(20rem,1fr))}
.core li{border:1px solid var(--rule);border-left:6px solid var(--mark);border-radius:4px;padding:.4rem .6rem;break-inside:avoid}
.core b{display:block}
.grade{font-weight:700;white-space:nowrap}
.sound,.serviceable{--g:var(--good)}.doubtful{--g:var(--watch)}.failed{--g:var(--bad)}.not-proven{--g:var(--quiet)}
.core li{border-left-color:var(--g,var(--mark))}.core .not-proven,.core li.not-proven{border-left-style:dashed}
span.grade{color:var(--g,var(--ink))}
.measured td:nth-child(2){width:28%}.measured td:nth-child(6){width:34%}
.photos{display:grid;grid-template-columns:repeat(auto-fit,minmax(16rem,1fr));gap:.8rem}.photos figure{margin:0;break-inside:avoid}.photos img{max-width:100%;max-height:24rem;height:auto}
table{border-collapse:collapse;width:100%;font-size:.88rem;margin:.3rem 0}
caption{break-after:avoid;text-align:left;color:var(--quiet);padding-bottom:.2rem}
th,td{text-align:left;vertical-align:top;padding:.2rem .4rem;border-bottom:1px solid var(--rule)}
th{font-weight:600;white-space:nowrap}.figure{white-space:nowrap}tr{break-inside:avoid}thead{display:table-header-group}
.scroll{overflow-x:auto}.scroll:focus-visible{outline:2px solid var(--mark)}
.bad{color:var(--bad);font-weight:600}.watch{color:var(--watch);font-weight:600}
ol.steps{padding-left:1.9rem;margin:.3rem 0}ol.steps li{margin:.35rem 0;break-inside:avoid}
.caution{border-left:4px solid var(--bad);padding-left:.5rem;margin:.15rem 0;font-size:.92rem}
ul{margin:.3rem 0;padding-left:1.3rem}
.map{width:100%;height:auto;max-width:52rem;display:block;margin:.4rem 0}
@media screen and (max-width:44rem){.core,.core:has(li:nth-child(4)){grid-template-columns:1fr}.map,.scroll table{min-width:40rem}}
.map text{font:11px system-ui,Arial,sans-serif;fill:var(--ink)}.map text.grade{font-weight:700;fill:var(--g,var(--ink))}
.map rect{fill:var(--shade);stroke:var(--g,var(--mark));stroke-width:1.5}
.map .not-proven rect{stroke-dasharray:4 3;fill:none}.map .failed rect{stroke-width:3.5}.map .doubtful rect{stroke-dasharray:9 3;stroke-width:2.5}
.gauge .axis,.gauge .tick{stroke:var(--quiet);stroke-width:1}.gauge .band{fill:none;stroke:var(--good);stroke-width:1.5}.gauge .hand{fill:var(--mark)}
.tree{list-style:none;padding-left:0}.cleared{color:var(--quiet)}
.disclaimer{border:1px solid var(--rule);border-radius:4px;padding:.5rem .8rem;margin:1rem 0;font-size:.9rem;break-inside:avoid}
.bench{border-top:3px double var(--rule);margin-top:2rem}
@media print{@page{size:auto;margin:10mm}:root{color-scheme:light;--ink:#000;--paper:#fff;--quiet:#333;--rule:#999;--shade:#fff;--good:#000;--watch:#000;--bad:#000;--mark:#000}
html{font-size:8pt}body{line-height:1.22}h1{margin-top:0}h2{margin:.7rem 0 .2rem}
header,main,footer{max-width:none;padding:0}.skip{display:none}.bench{break-before:page;border:0;margin:0}.bench:first-child{break-before:auto}.scroll{overflow:visible}
ol.steps li{margin:.1rem 0}p{margin:.2rem 0}.verdict{margin:.5rem 0;padding:.4rem .8rem}.caution{margin:0}.map{max-width:none}.gauge{height:12px}.bench .gauge{width:60px;height:9px}.bench table{font-size:.8rem}.bench th,.bench td{padding:.1rem .25rem}}
`.trim();
