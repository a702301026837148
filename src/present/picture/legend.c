/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/picture/legend.h"

#include <math.h>

#include "base/text.h"
#include "present/drawing/ramp.h"
#include "present/language/say.h"

static const double WORDS_PT = 7.5, LINE_PT = 13.0, GAP_PT = 14.0, RAMP_PT = 9.0;

static es_type words_type(bool bold)
{
    return (es_type){.size_pt = WORDS_PT, .bold = bold};
}

es_legend es_legend_start(es_pen *pen, double top, double width)
{
    return (es_legend){.pen = pen, .width = width, .y = top, .line = LINE_PT, .top = top};
}

double es_legend_end(es_legend *legend)
{
    if (legend->x > 0.0) legend->y += legend->line;
    return legend->y - legend->top;
}

static void new_line(es_legend *legend)
{
    legend->x = 0.0;
    legend->y += legend->line;
}

void es_legend_heading(es_legend *legend, const char *words)
{
    double width_pt, height_pt;
    if (legend->x > 0.0) new_line(legend);
    es_letters_size(legend->pen, words, words_type(true), &width_pt, &height_pt);
    cairo_set_source_rgb(legend->pen->cairo, ES_INK, ES_INK, ES_INK);
    es_letters_line(legend->pen, 0.0, legend->y + (LINE_PT - height_pt) / 2.0, words, words_type(true));
    legend->x = width_pt + GAP_PT;
}

/* Words too long for a line are wrapped beside their sign. */
void es_legend_item(es_legend *legend, double sign_width, const char *words, double *x, double *y)
{
    double width_pt, height_pt;
    const double indent = sign_width + 5.0;
    es_letters_size(legend->pen, words, words_type(false), &width_pt, &height_pt);
    if (legend->x > 0.0 && legend->x + indent + width_pt > legend->width) new_line(legend);
    *x = legend->x;
    *y = legend->y + LINE_PT / 2.0;
    cairo_set_source_rgb(legend->pen->cairo, ES_INK, ES_INK, ES_INK);
    if (indent + width_pt <= legend->width) {
        es_letters_line(legend->pen, legend->x + indent, legend->y + (LINE_PT - height_pt) / 2.0, words,
                        words_type(false));
        legend->x += indent + width_pt + GAP_PT;
        return;
    }
    const double used = es_letters_paragraph(legend->pen, indent, legend->y + (LINE_PT - height_pt) / 2.0,
                                             legend->width - indent, words, words_type(false));
    legend->x = 0.0;
    legend->y += fmax(used + 3.0, LINE_PT);
}

void es_legend_mark(es_legend *legend, es_mark mark, const char *words)
{
    double x, y;
    es_legend_item(legend, 2.0 * ES_MARK_PT, words, &x, &y);
    es_mark_draw(legend->pen, mark, x + ES_MARK_PT, y);
}

/* ---- the ramp ---- */

static void draw_ramp(cairo_t *c, double x, double y, double width)
{
    cairo_pattern_t *ramp = cairo_pattern_create_linear(x, 0.0, x + width, 0.0);
    for (int i = 0; i <= 32; i++) {
        const es_colour k = es_ramp_at(i / 32.0);
        cairo_pattern_add_color_stop_rgb(ramp, i / 32.0, k.red, k.green, k.blue);
    }
    cairo_rectangle(c, x, y, width, RAMP_PT);
    cairo_set_source(c, ramp);
    cairo_fill_preserve(c);
    cairo_pattern_destroy(ramp);
    cairo_set_source_rgb(c, ES_INK, ES_INK, ES_INK);
    cairo_set_line_width(c, 0.5);
    cairo_stroke(c);
}

static void draw_tick(es_pen *pen, double x, double y, double margin_db, bool bold)
{
    char figure[ES_SAY_FIGURE];
    cairo_move_to(pen->cairo, x, y + RAMP_PT);
    cairo_line_to(pen->cairo, x, y + RAMP_PT + (bold ? 4.0 : 2.5));
    cairo_set_source_rgb(pen->cairo, ES_INK, ES_INK, ES_INK);
    cairo_set_line_width(pen->cairo, bold ? 1.4 : 0.6);
    cairo_stroke(pen->cairo);
    es_letters_line(pen, x, y + RAMP_PT + 4.0, es_say_figure(figure, pen->language, margin_db, 0),
                    (es_type){.size_pt = 7.0, .align = ES_CENTRE, .bold = bold});
}

void es_legend_ramp(es_legend *legend, double need_db)
{
    es_pen *pen = legend->pen;
    const double left = 8.0, width = fmin(legend->width - 16.0, 420.0);
    const double a_db = width / (ES_RAMP_HIGH_DB - ES_RAMP_LOW_DB);
    if (legend->x > 0.0) new_line(legend);
    draw_ramp(pen->cairo, left, legend->y + 2.0, width);
    for (double m = ES_RAMP_LOW_DB; m <= ES_RAMP_HIGH_DB; m += 10.0)
        draw_tick(pen, left + (m - ES_RAMP_LOW_DB) * a_db, legend->y + 2.0, m, m == 0.0 || m == need_db);
    if (fmod(need_db, 10.0) != 0.0 && need_db < ES_RAMP_HIGH_DB)
        draw_tick(pen, left + (need_db - ES_RAMP_LOW_DB) * a_db, legend->y + 2.0, need_db, true);
    legend->y += RAMP_PT + 16.0;
    char figure[ES_SAY_FIGURE];
    earshot_text words = {0};
    ES_SAY(&words, pen->language, ES_SAY_RAMP,
           es_say_figure(figure, pen->language, need_db, need_db == rint(need_db) ? 0 : 1));
    if (words.failed) pen->status = EARSHOT_MEMORY;
    legend->y +=
        es_letters_paragraph(pen, 0.0, legend->y, legend->width, words.data ? words.data : "", words_type(false)) + 4.0;
    earshot_text_clear(&words);
    legend->x = 0.0;
}
