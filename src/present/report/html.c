/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The document as one HTML file that is also well-formed XML. Pictures are embedded twice, laid out for a page and for
 * a telephone, so that their words can be read on both. */
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "earshot/version.h"
#include "present/report/document.h"

static const double PAGE_PT = 600.0, TELEPHONE_PT = 280.0; /* widths pictures are laid out for */

enum { SHORT = 16 }; /* bytes of a cell that is not wrapped where there is room */

static const char STYLE[] =
    "html{font-size:100%}\n"
    "body{margin:0 auto;max-width:50rem;padding:0 1rem 3rem;color:#1a1a1a;background:#fff;"
    "font:1rem/1.5 system-ui,\"DejaVu Sans\",Arial,sans-serif;overflow-wrap:break-word}\n"
    "h1{font-size:1.9rem;line-height:1.2;margin:2rem 0 1rem}\n"
    "h2{font-size:1.4rem;line-height:1.25;margin:2.5rem 0 .75rem;border-bottom:2px solid "
    "#1a2a52;padding-bottom:.25rem}\n"
    "h3{font-size:1.1rem;margin:2rem 0 .5rem}\n"
    ".lead{font-size:1.15rem;background:#eef0f6;border-left:.4rem solid #1a2a52;padding:.75rem 1rem;margin:1rem 0}\n"
    "figure{margin:1.25rem 0}\n"
    "figure img{display:block;width:100%;height:auto}\n"
    "figcaption{font-size:.9rem;color:#444;margin-top:.4rem}\n"
    ".scroll{overflow-x:auto;margin:1rem 0}\n"
    "table{border-collapse:collapse;width:100%;font-size:.95rem}\n"
    "caption{text-align:left;font-weight:bold;padding:.3rem 0}\n"
    "th,td{text-align:left;vertical-align:top;padding:.4rem .6rem .4rem 0;border-bottom:1px solid #c8c8c8}\n"
    "thead th{border-bottom:2px solid #1a1a1a}\n"
    "tbody th{font-weight:normal}\n"
    "td.right,th.right{text-align:right;white-space:nowrap}\n"
    "table.small{font-size:.8rem}\n"
    "table.facts th{font-weight:bold;width:12rem}\n"
    "footer{margin-top:3rem;font-size:.85rem;color:#444}\n"
    "@media (min-width:40rem){.short{white-space:nowrap}}\n"
    "@media (max-width:40rem){h1{font-size:1.5rem}table{font-size:.88rem}table.facts th{width:8rem}"
    "th,td{padding-right:.35rem}td.right,th.right{white-space:normal}}\n"
    "@media print{body{max-width:none;font-size:10.5pt;padding:0}h2,h3{break-after:avoid}"
    "figure,tr,.lead{break-inside:avoid}.page{break-before:page}.scroll{overflow:visible}}\n";

static void escape(earshot_text *out, const char *words)
{
    for (; *words; words++) {
        switch (*words) {
        case '&': es_text_add(out, "&amp;"); break;
        case '<': es_text_add(out, "&lt;"); break;
        case '>': es_text_add(out, "&gt;"); break;
        case '"': es_text_add(out, "&quot;"); break;
        default:
            /* Control characters are not allowed in XML at all. */
            if ((unsigned char)*words >= 0x20 || *words == '\n' || *words == '\t') es_text_add_char(out, *words);
        }
    }
}

static void element(earshot_text *out, const char *tag, const char *attributes, const char *words)
{
    es_text_format(out, "<%s%s>", tag, attributes);
    escape(out, words);
    es_text_format(out, "</%s>\n", tag);
}

static void open_page(const es_document *d, earshot_text *out)
{
    const char *code = earshot_language_code(d->language);
    es_text_format(
        out,
        "<!DOCTYPE html>\n<html xmlns=\"http://www.w3.org/1999/xhtml\" lang=\"%s\" xml:lang=\"%s\">\n<head>\n"
        "<meta charset=\"utf-8\"/>\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
        "<meta name=\"generator\" content=\"earshot %s\"/>\n",
        code, code, earshot_version());
    element(out, "title", "", d->title ? d->title : "");
    es_text_add(out, "<style>\n");
    es_text_add(out, STYLE);
    es_text_format(out, "@page{size:%s;margin:18mm}\n</style>\n</head>\n<body>\n<main>\n",
                   d->paper == EARSHOT_PAPER_LETTER ? "letter" : "A4");
}

/* ---- tables ---- */

static void cell(const es_block *b, size_t column, bool heading, const char *words, earshot_text *out)
{
    const bool row_heading = !heading && column == 0;
    const bool right = b->right >> column & 1u, shorter = strlen(words) <= SHORT;
    const char *kind = right ? " class=\"right\"" : shorter ? " class=\"short\"" : "";
    es_text_add(out, heading || row_heading ? "<th" : "<td");
    if (heading || row_heading) es_text_format(out, " scope=\"%s\"", heading ? "col" : "row");
    es_text_format(out, "%s>", kind);
    escape(out, words);
    es_text_add(out, heading || row_heading ? "</th>" : "</td>");
}

static void row(const es_block *b, size_t first, bool heading, earshot_text *out)
{
    es_text_add(out, "<tr>");
    for (size_t column = 0; column < b->columns && first + column < b->n_cells; column++)
        cell(b, column, heading, b->cell[first + column], out);
    es_text_add(out, "</tr>\n");
}

/* A table too wide for the screen scrolls by itself; that must be possible with the keyboard. */
static void table(const es_block *b, earshot_text *out)
{
    es_text_add(out, "<div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-label=\"");
    escape(out, b->words);
    es_text_format(out, "\">\n<table%s>\n", b->facts ? " class=\"facts\"" : b->small ? " class=\"small\"" : "");
    element(out, "caption", "", b->words);
    if (!b->facts) {
        es_text_add(out, "<thead>");
        row(b, 0, true, out);
        es_text_add(out, "</thead>\n");
    }
    es_text_add(out, "<tbody>\n");
    for (size_t first = b->facts ? 0 : b->columns; first < b->n_cells; first += b->columns) row(b, first, false, out);
    es_text_add(out, "</tbody>\n</table>\n</div>\n");
}

/* ---- pictures ---- */

static earshot_status add_svg(const es_document *d, const es_block *b, double width_pt, earshot_text *out)
{
    earshot_text svg = {0};
    const earshot_picture_look look = {
        .format = EARSHOT_PICTURE_SVG, .language = d->language, .paper = d->paper, .width_pt = width_pt};
    const earshot_status status = es_picture_write(&b->picture, 1, &look, b->words, &svg);
    if (status == EARSHOT_OK) {
        gchar *encoded = g_base64_encode((const guchar *)svg.data, svg.size);
        es_text_add(out, "data:image/svg+xml;base64,");
        es_text_add(out, encoded);
        g_free(encoded);
    }
    earshot_text_clear(&svg);
    return status;
}

static earshot_status picture(const es_document *d, const es_block *b, earshot_text *out)
{
    es_text_add(out, "<figure>\n<picture>\n<source media=\"(max-width: 40rem)\" srcset=\"");
    earshot_status status = add_svg(d, b, TELEPHONE_PT, out);
    es_text_add(out, "\"/>\n<img src=\"");
    if (status == EARSHOT_OK) status = add_svg(d, b, PAGE_PT, out);
    es_text_add(out, "\" alt=\"");
    escape(out, b->instead);
    es_text_add(out, "\"/>\n</picture>\n");
    element(out, "figcaption", "", b->words);
    es_text_add(out, "</figure>\n");
    return status;
}

/* ---- the whole ---- */

static void heading(const es_block *b, bool new_page, earshot_text *out)
{
    static const char *const TAG[] = {"h1", "h2", "h3"};
    element(out, TAG[b->level >= 1 && b->level <= 3 ? b->level - 1 : 2], new_page ? " class=\"page\"" : "", b->words);
}

static earshot_status block(const es_document *d, size_t i, earshot_text *out)
{
    const es_block *b = &d->block[i];
    const bool first = i == 0 || d->block[i - 1].kind != ES_BLOCK_ITEM;
    const bool last = i + 1 == d->n || d->block[i + 1].kind != ES_BLOCK_ITEM;
    switch (b->kind) {
    case ES_BLOCK_HEADING: heading(b, i > 0 && d->block[i - 1].kind == ES_BLOCK_PAGE, out); break;
    case ES_BLOCK_LEAD: element(out, "p", " class=\"lead\"", b->words); break;
    case ES_BLOCK_PARAGRAPH: element(out, "p", "", b->words); break;
    case ES_BLOCK_ITEM:
        if (first) es_text_add(out, "<ul>\n");
        element(out, "li", "", b->words);
        if (last) es_text_add(out, "</ul>\n");
        break;
    case ES_BLOCK_TABLE: table(b, out); break;
    case ES_BLOCK_PICTURE: return picture(d, b, out);
    case ES_BLOCK_PAGE: break;
    }
    return EARSHOT_OK;
}

earshot_status es_document_html(const es_document *document, const earshot_watch *watch, earshot_text *out)
{
    earshot_status status = EARSHOT_OK;
    open_page(document, out);
    for (size_t i = 0; i < document->n && status == EARSHOT_OK; i++) {
        status = block(document, i, out);
        if (watch && watch->progress && !watch->progress(watch->context, (double)(i + 1) / (double)document->n))
            status = EARSHOT_INTERNAL;
    }
    es_text_add(out, "</main>\n<footer>\n");
    element(out, "p", "", es_message_text(document->language, ES_SAY_MADE_WITH));
    es_text_add(out, "</footer>\n</body>\n</html>\n");
    return status == EARSHOT_OK && out->failed ? EARSHOT_MEMORY : status;
}
