/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The document as PDF pages: blocks flow down a column, a table's rows break between pages with its heading repeated,
 * a heading stays with what follows. */
#include <cairo-pdf.h>
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "present/drawing/letters.h"
#include "present/drawing/ramp.h"
#include "present/report/document.h"

static const double MARGIN_PT = 52.0, FOOT_PT = 26.0;
static const double TEXT_PT = 9.5, LEAD_PT = 11.0, SMALL_PT = 7.2, FACTS_PT = 9.5;
static const double KEEP_PT = 80.0; /* what a heading wants below it */
static const double SQUEEZE = 0.7;  /* a picture is made lower than it would like by so much, to fit a page */
enum { MOST_COLUMNS = 12 };

typedef struct flow {
    es_pen pen;
    const es_document *document;
    double page_width, page_height, width, bottom;
    double y;
    unsigned page;
    bool blank; /* nothing on this page yet */
} flow;

/* ---- pages ---- */

static void draw_foot(flow *f)
{
    char figure[ES_SAY_FIGURE];
    const es_type type = {.size_pt = 7.5};
    const double y = f->page_height - MARGIN_PT + 8.0;
    cairo_set_source_rgb(f->pen.cairo, 0.3, 0.3, 0.3);
    es_letters_line(&f->pen, MARGIN_PT, y, f->document->title ? f->document->title : "", type);
    es_letters_line(&f->pen, f->page_width - MARGIN_PT, y, es_say_figure(figure, f->pen.language, (double)f->page, 0),
                    (es_type){.size_pt = 7.5, .align = ES_RIGHT});
}

static void start_page(flow *f)
{
    f->page++;
    f->y = MARGIN_PT;
    f->blank = true;
    draw_foot(f);
}

static void next_page(flow *f)
{
    cairo_show_page(f->pen.cairo);
    start_page(f);
}

/* Is there room for so much? If not, and the page has something on it, go on to the next. */
static void want(flow *f, double height_pt)
{
    if (!f->blank && f->y + height_pt > f->bottom) next_page(f);
}

static void tag(flow *f, const char *name)
{
    cairo_tag_begin(f->pen.cairo, name, NULL);
}

static void untag(flow *f, const char *name)
{
    cairo_tag_end(f->pen.cairo, name);
}

static void ink(flow *f)
{
    cairo_set_source_rgb(f->pen.cairo, ES_INK, ES_INK, ES_INK);
}

/* ---- words ---- */

static void put_words(flow *f, const char *name, double left, const char *words, es_type type, double after)
{
    const double width = f->width - left;
    want(f, es_letters_paragraph_height(&f->pen, width, words, type));
    ink(f);
    tag(f, name);
    f->y += es_letters_paragraph(&f->pen, MARGIN_PT + left, f->y, width, words, type) + after;
    untag(f, name);
    f->blank = false;
}

/* How high a picture becomes that has a page for itself. */
static double natural_height(flow *f, const es_block *b)
{
    double height = 0.0;
    const earshot_status status =
        es_picture_height(&b->picture, f->pen.language, f->width, f->bottom - MARGIN_PT - 60.0, &height);
    if (status) f->pen.status = status;
    return height;
}

/* What a heading shares its page with: the words up to the next picture, and that. */
static double together(flow *f, size_t i)
{
    double sum = 0.0;
    for (size_t k = i + 1; k < f->document->n; k++) {
        const es_block *b = &f->document->block[k];
        if (b->kind == ES_BLOCK_HEADING) sum += 30.0;
        if (b->kind == ES_BLOCK_PARAGRAPH)
            sum += 6.0 + es_letters_paragraph_height(&f->pen, f->width, b->words, (es_type){.size_pt = TEXT_PT});
        if (b->kind == ES_BLOCK_PICTURE) return sum + SQUEEZE * natural_height(f, b) + 30.0;
        if (b->kind == ES_BLOCK_TABLE) return sum + 1.6 * KEEP_PT;
        if (b->kind != ES_BLOCK_HEADING && b->kind != ES_BLOCK_PARAGRAPH) break;
    }
    return KEEP_PT;
}

static void put_heading(flow *f, size_t at)
{
    const es_block *b = &f->document->block[at];
    static const double SIZE[] = {22.0, 14.0, 11.0}, BEFORE[] = {0.0, 16.0, 10.0};
    static const char *const TAG[] = {"H1", "H2", "H3"};
    const size_t i = b->level >= 1 && b->level <= 3 ? b->level - 1 : 2;
    want(f, BEFORE[i] + 1.6 * SIZE[i] + together(f, at));
    if (!f->blank) f->y += BEFORE[i];
    if (i < 2) {
        char place[64];
        const int n = (int)f->page;
        g_snprintf(place, sizeof place, "page=%d pos=[%d %d]", n, (int)MARGIN_PT, (int)f->y);
        cairo_pdf_surface_add_outline(cairo_get_target(f->pen.cairo), CAIRO_PDF_OUTLINE_ROOT, b->words, place,
                                      CAIRO_PDF_OUTLINE_FLAG_OPEN);
    }
    put_words(f, TAG[i], 0.0, b->words, (es_type){.size_pt = SIZE[i], .bold = true}, 0.35 * SIZE[i]);
}

static void put_lead(flow *f, const es_block *b)
{
    const es_type type = {.size_pt = LEAD_PT};
    const double pad = 9.0, height = es_letters_paragraph_height(&f->pen, f->width - 2.0 * pad - 4.0, b->words, type);
    const es_colour k = es_ramp_at(0.0);
    want(f, height + 2.0 * pad);
    cairo_rectangle(f->pen.cairo, MARGIN_PT, f->y, f->width, height + 2.0 * pad);
    cairo_set_source_rgb(f->pen.cairo, 0.93, 0.94, 0.965);
    cairo_fill(f->pen.cairo);
    cairo_rectangle(f->pen.cairo, MARGIN_PT, f->y, 4.0, height + 2.0 * pad);
    cairo_set_source_rgb(f->pen.cairo, k.red, k.green, k.blue);
    cairo_fill(f->pen.cairo);
    ink(f);
    tag(f, "P");
    es_letters_paragraph(&f->pen, MARGIN_PT + pad + 4.0, f->y + pad, f->width - 2.0 * pad - 4.0, b->words, type);
    untag(f, "P");
    f->y += height + 2.0 * pad + 8.0;
    f->blank = false;
}

static void put_item(flow *f, const es_block *b)
{
    const es_type type = {.size_pt = TEXT_PT};
    want(f, es_letters_paragraph_height(&f->pen, f->width - 14.0, b->words, type));
    ink(f);
    es_letters_line(&f->pen, MARGIN_PT + 3.0, f->y, "\xe2\x80\xa2", type);
    put_words(f, "P", 14.0, b->words, type, 4.0);
}

/* ---- tables ---- */

typedef struct columns {
    double left[MOST_COLUMNS], width[MOST_COLUMNS];
    double size_pt;
} columns;

static const double CELL_GAP_PT = 8.0, STEP_PT = 2.0;

static double words_width(flow *f, const char *words, double size_pt, bool bold)
{
    double width_pt, height_pt;
    es_letters_size(&f->pen, words, (es_type){.size_pt = size_pt, .bold = bold}, &width_pt, &height_pt);
    return width_pt + 1.0;
}

/* A heading may break between its words. */
static double longest_word(flow *f, const char *words, double size_pt)
{
    double longest = 0.0;
    char word[64];
    while (*words) {
        const size_t length = strcspn(words, " "), n = length < sizeof word ? length : sizeof word - 1;
        memcpy(word, words, n);
        word[n] = '\0';
        longest = fmax(longest, words_width(f, word, size_pt, true));
        words += length + strspn(words + length, " ");
    }
    return longest;
}

/* Take from the widest column until the table fits. */
static void narrow(const flow *f, columns *c, size_t n)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) sum += c->width[i] + CELL_GAP_PT;
    while (sum > f->width) {
        size_t widest = 0;
        for (size_t i = 1; i < n; i++)
            if (c->width[i] > c->width[widest]) widest = i;
        c->width[widest] -= fmin(STEP_PT, sum - f->width);
        sum -= fmin(STEP_PT, sum - f->width);
    }
}

/* Where there is room, headings stand in one line. */
static void widen(flow *f, const es_block *b, columns *c)
{
    double room = f->width;
    for (size_t i = 0; i < b->columns; i++) room -= c->width[i] + CELL_GAP_PT;
    for (size_t i = 0; i < b->columns && i < b->n_cells; i++) {
        const double more = words_width(f, b->cell[i], c->size_pt, true) - c->width[i];
        if (more <= 0.0 || more > room) continue;
        c->width[i] += more;
        room -= more;
    }
}

static void fit_columns(flow *f, const es_block *b, columns *c)
{
    double left = MARGIN_PT;
    for (size_t i = 0; i < b->columns; i++) c->width[i] = 0.0;
    for (size_t i = 0; i < b->n_cells; i++) {
        const size_t column = i % b->columns;
        const double wanted = !b->facts && i < b->columns
                                  ? longest_word(f, b->cell[i], c->size_pt)
                                  : words_width(f, b->cell[i], c->size_pt, b->facts && column == 0);
        c->width[column] = fmax(c->width[column], wanted);
    }
    narrow(f, c, b->columns);
    if (!b->facts) widen(f, b, c);
    for (size_t i = 0; i < b->columns; i++) {
        c->left[i] = left;
        left += c->width[i] + CELL_GAP_PT;
    }
}

static es_type cell_type(const es_block *b, const columns *c, size_t column, bool heading)
{
    return (es_type){.size_pt = c->size_pt,
                     .bold = heading || (b->facts && column == 0),
                     .align = b->right >> column & 1u ? ES_RIGHT : ES_LEFT};
}

static double row_height(flow *f, const es_block *b, const columns *c, size_t first, bool heading)
{
    double height = 0.0;
    for (size_t i = 0; i < b->columns && first + i < b->n_cells; i++)
        height = fmax(
            height, es_letters_paragraph_height(&f->pen, c->width[i], b->cell[first + i], cell_type(b, c, i, heading)));
    return height + 5.0;
}

static void put_row(flow *f, const es_block *b, const columns *c, size_t first, bool heading)
{
    const double height = row_height(f, b, c, first, heading);
    tag(f, "TR");
    for (size_t i = 0; i < b->columns && first + i < b->n_cells; i++) {
        ink(f);
        tag(f, heading ? "TH" : "TD");
        es_letters_paragraph(&f->pen, c->left[i], f->y + 2.0, c->width[i], b->cell[first + i],
                             cell_type(b, c, i, heading));
        untag(f, heading ? "TH" : "TD");
    }
    untag(f, "TR");
    f->y += height;
    cairo_move_to(f->pen.cairo, MARGIN_PT, f->y);
    cairo_line_to(f->pen.cairo, MARGIN_PT + f->width, f->y);
    cairo_set_source_rgb(f->pen.cairo, heading ? ES_INK : 0.78, heading ? ES_INK : 0.78, heading ? ES_INK : 0.78);
    cairo_set_line_width(f->pen.cairo, heading ? 1.0 : 0.5);
    cairo_stroke(f->pen.cairo);
    f->blank = false;
}

static void put_table(flow *f, const es_block *b)
{
    columns c = {.size_pt = b->small ? SMALL_PT : FACTS_PT};
    if (b->columns == 0 || b->columns > MOST_COLUMNS) return;
    fit_columns(f, b, &c);
    if (!b->facts) {
        want(f, 1.5 * KEEP_PT);
        put_words(f, "P", 0.0, b->words, (es_type){.size_pt = TEXT_PT, .bold = true}, 2.0);
    }
    tag(f, "Table");
    if (!b->facts) put_row(f, b, &c, 0, true);
    for (size_t first = b->facts ? 0 : b->columns; first < b->n_cells; first += b->columns) {
        if (f->y + row_height(f, b, &c, first, false) > f->bottom && !f->blank) {
            next_page(f);
            if (!b->facts) put_row(f, b, &c, 0, true);
        }
        put_row(f, b, &c, first, false);
    }
    untag(f, "Table");
    f->y += 10.0;
}

/* ---- pictures ---- */

static void put_picture(flow *f, const es_block *b)
{
    const es_type caption = {.size_pt = 8.0};
    const double below = es_letters_paragraph_height(&f->pen, f->width, b->words, caption) + 12.0;
    if (!f->blank && f->bottom - f->y - below < SQUEEZE * natural_height(f, b)) next_page(f);
    const double room = f->bottom - f->y - below;
    tag(f, "Figure");
    cairo_save(f->pen.cairo);
    cairo_translate(f->pen.cairo, MARGIN_PT, f->y);
    const double height = b->picture.compose(&f->pen, b->picture.subject, f->width, room);
    cairo_restore(f->pen.cairo);
    untag(f, "Figure");
    f->y += height + 4.0;
    f->blank = false;
    put_words(f, "P", 0.0, b->words, caption, 10.0);
}

/* ---- the whole ---- */

static void put_block(flow *f, size_t i)
{
    const es_block *b = &f->document->block[i];
    switch (b->kind) {
    case ES_BLOCK_HEADING: put_heading(f, i); break;
    case ES_BLOCK_LEAD: put_lead(f, b); break;
    case ES_BLOCK_PARAGRAPH: put_words(f, "P", 0.0, b->words, (es_type){.size_pt = TEXT_PT}, 6.0); break;
    case ES_BLOCK_ITEM: put_item(f, b); break;
    case ES_BLOCK_TABLE: put_table(f, b); break;
    case ES_BLOCK_PICTURE: put_picture(f, b); break;
    case ES_BLOCK_PAGE:
        if (!f->blank) next_page(f);
        break;
    }
}

earshot_status es_document_pdf(const es_document *document, const earshot_watch *watch, earshot_text *out)
{
    flow f = {.document = document};
    const size_t from = out->size;
    bool go_on = true;
    es_paper_size(document->paper, &f.page_width, &f.page_height);
    f.width = f.page_width - 2.0 * MARGIN_PT;
    f.bottom = f.page_height - MARGIN_PT - FOOT_PT / 2.0;
    cairo_surface_t *surface = es_pdf_surface(f.page_width, f.page_height, document->title ? document->title : "", out);
    if (!es_pen_open(&f.pen, surface, document->language)) return f.pen.status;
    f.pen.round_scale = true;
    start_page(&f);
    for (size_t i = 0; i < document->n && go_on; i++) {
        put_block(&f, i);
        if (watch && watch->progress) go_on = watch->progress(watch->context, (double)(i + 1) / (double)document->n);
    }
    cairo_show_page(f.pen.cairo);
    es_pen_close(&f.pen);
    if (!go_on) return EARSHOT_INTERNAL;
    return f.pen.status ? f.pen.status : es_pdf_state_language(out, from, document->language);
}
