/* html.c - the frame of a page that stands alone, and figures on it.
 *
 * Contents: 1. style  2. the frame  3. figures
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/page/html.h"

#include "report/blocks/markup.h"
#include "report/blocks/write.h"

/* 1. Style */

/* Ink on paper. Below 800 pixels the pairs stack and the narrow pictures are shown. In print the head of the page is a
 * table header group, which is repeated on every page and takes its own room there; nothing but plain CSS is needed for
 * that. */
static const char page_css[] =
    "*{box-sizing:border-box}"
    "html{font:15px/1.45 \"Segoe UI\",\"Helvetica Neue\",Arial,\"Liberation Sans\",system-ui,sans-serif;"
    "color:#16242e;background:#fff;-webkit-text-size-adjust:100%;font-variant-numeric:tabular-nums}"
    "body{margin:0}.sheet{max-width:800px;margin:0 auto;padding:12px 20px 40px}"
    ".running{display:flex;flex-wrap:wrap;justify-content:space-between;gap:0 24px;border-bottom:2px solid #16242e;"
    "padding-bottom:5px;color:#5b6b76;font-size:13px}.running p{margin:0}.running b{color:#16242e}"
    ".blank{display:inline-block;width:9em;border-bottom:1px solid #5b6b76}"
    "h1{font-size:25px;line-height:1.2;letter-spacing:-.01em;margin:16px 0 4px}"
    "h2{font-size:16px;line-height:1.25;margin:0 0 8px}h3{font-size:13px;margin:10px 0 2px}"
    "section{margin-top:18px;border-top:1px solid #c9d2d8;padding-top:8px}.call{border:0;margin:0;padding:0}"
    "p{margin:0 0 "
    "6px}.lead{font-size:15px;color:#5b6b76;max-width:46em}.note{font-size:12.5px;color:#5b6b76;max-width:60em}"
    ".note b,.lead b{color:#16242e}"
    "figure{margin:8px 0 "
    "0}svg.picture{display:block;max-width:100%;height:auto}"
    ".narrow{display:none}.pair{display:grid;grid-template-columns:1fr "
    "1fr;gap:24px}.pair>section{min-width:0}.uneven{display:block}"
    ".across{overflow-x:auto}table{border-collapse:collapse;width:100%;font-size:12.5px;line-height:1.3}"
    "caption{text-align:left;font-weight:700;padding:6px 0 2px}"
    "th,td{text-align:left;vertical-align:top;padding:2px 8px 2px 0;border-bottom:1px solid "
    "#dfe7ec;overflow-wrap:break-word}"
    "thead th{font-weight:400;color:#5b6b76;border-bottom:1px solid #5b6b76;vertical-align:bottom}"
    "tbody th{font-weight:600}td small{display:block;color:#5b6b76;font-size:11px;white-space:nowrap}"
    ".numbers th{white-space:nowrap}.numbers thead th{white-space:normal}.readings tbody "
    "th{font-weight:400}.strong{font-weight:600;font-size:13.5px}"
    ".rests tbody th{font-weight:400}@media print,(min-width:800px){.rests{table-layout:fixed}.rests "
    "th:nth-child(1){width:41%}"
    ".rests th:nth-child(2){width:35%}.rests th:nth-child(3){width:11%}}"
    ".columns{columns:2;column-gap:24px}h3{break-after:avoid}"
    "ol,ul{margin:2px 0 6px;padding-left:1.5em;font-size:12.5px}li{margin:0 0 2px}li::marker{color:#5b6b76}"
    ".sha{overflow-wrap:anywhere}.caution{border-top:2px solid #16242e}";

/* On phones and on paper. */
static const char other_css[] =
    "@media screen and (max-width:799px){.sheet{padding:10px 16px 32px}.wide{display:none}.narrow{display:block}"
    ".pair{grid-template-columns:1fr;gap:0}.columns{columns:1}h1{font-size:22px}}"
    "@media screen and (max-width:599px){.cards thead{position:absolute;left:-9999px}"
    ".cards table,.cards tbody,.cards tr,.cards th{display:block}"
    ".cards tr{padding:6px 0 8px;border-bottom:1px solid #d5dde1}.cards tbody th{font-weight:700;border:0}"
    ".cards td{display:flex;gap:12px;border:0;text-align:right}"
    ".cards td::before{content:attr(data-head);color:#5b6b76;text-align:left;flex:1}"
    ".cards td small{display:block;flex:none;width:7.5em}}"
    "@media print{@page{size:A4;margin:6mm 12mm 7.5mm;@bottom-right{content:counter(page) \" of \" counter(pages);"
    "font:7.5pt system-ui,Arial,sans-serif;color:#5b6b76}}"
    "html{font-size:9pt;line-height:1.32;-webkit-print-color-adjust:exact;print-color-adjust:exact}"
    ".sheet{display:table;width:100%;max-width:none;padding:0}.running{display:table-header-group;break-inside:avoid;"
    "font-size:8pt}"
    ".running p{display:inline-block;width:58%;padding-bottom:2pt;border-bottom:1.5pt solid #16242e}"
    ".running p+p{width:42%;text-align:right}main{display:table-row-group}"
    "h1{font-size:14.5pt;margin:3pt 0 1pt}h2{font-size:10.5pt;margin:0 0 "
    "2pt;break-after:avoid}h3{font-size:7.5pt;margin:1.5pt 0 0}"
    ".lead{font-size:8.7pt;line-height:1.24;max-width:none}.note,table,ol,ul,.strong{font-size:7.5pt;max-width:none}."
    "caution "
    "p{font-size:7.5pt}td small{font-size:7.5pt}"
    "table,ol,ul,.note,.strong,.caution p{line-height:1.06}.run{padding:0;list-style:none}.run "
    "li{display:inline;break-inside:auto}.run li+li::before{content:\"\\00b7\\00a0\"}th,td{padding:.2pt 5pt .2pt "
    "0}caption{padding:2pt 0 0}p{margin:0 0 1.5pt}"
    "section{margin-top:3pt;padding-top:1.5pt}.call{margin:0;padding:0}figure{margin:3pt 0 "
    "0;break-inside:avoid}tr,li,p,section:has(>figure){break-inside:avoid}"
    ".screen{display:none}.pair{gap:16pt}"
    ".uneven{display:grid;grid-template-columns:67fr 33fr}.uneven tbody th,.uneven td:nth-child(5){white-space:nowrap}"
    ".columns{column-gap:16pt}.across{overflow:visible}svg.picture{width:100%}li{margin:0}}";

/* 2. The frame */

static void begin(sm_text *out, const sm_html_head *head)
{
    sm_text_puts(
        out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
             "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
             "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; "
             "base-uri 'none'; form-action 'none'\">\n"
             "<meta name=\"referrer\" content=\"no-referrer\">\n<meta name=\"format-detection\" "
             "content=\"telephone=no\">\n<title>");
    sm_markup_text(out, head->title);
    sm_text_addf(out, "</title>\n<style>%s%s%s</style>\n</head>\n<body>\n<div class=\"sheet\">\n", sm_svg_css, page_css,
                 other_css);
    sm_text_puts(out, "<header class=\"running\"><p><b>slimmargin</b> ");
    sm_markup_text(out, head->running);
    sm_text_puts(out, "</p><p>local identifier <span class=\"blank\"></span></p></header>\n<main>\n");
}

void sm_html_page(sm_text *out, const sm_html_head *head, sm_blocks *b)
{
    begin(out, head);
    sm_write_html(out, b);
    sm_blocks_destroy(b);
    sm_text_puts(out, "</main>\n</div>\n</body>\n</html>\n");
}

/* 3. Figures */

static void picture(sm_text *out, const sm_figure *g, const sm_findings *f, int i, double width, const char *ending)
{
    sm_text id = {0};
    sm_figure_name(g, f, i, &id);
    sm_text_puts(&id, ending);
    sm_figure_write(g, f, i, sm_text_string(&id), width, false, out);
    out->failed |= id.failed;
    sm_text_destroy(&id);
}

void sm_html_figure(sm_blocks *b, const sm_figure *g, const sm_findings *f, int i)
{
    sm_text *out = sm_block_words(b, SM_PICTURE);
    sm_text_puts(out, "<figure>");
    if (g->half)
        picture(out, g, f, i, SM_HALF_WIDTH, "");
    else {
        sm_text_puts(out, "<div class=\"wide\">");
        picture(out, g, f, i, SM_PAGE_WIDTH, "-w");
        sm_text_puts(out, "</div><div class=\"narrow\">");
        picture(out, g, f, i, SM_HALF_WIDTH, "-n");
        sm_text_puts(out, "</div>");
    }
    sm_text_puts(out, "</figure>\n");
}
