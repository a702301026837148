/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rungs from top to bottom; each bar reaches from the level before its term to the level after it, so that the bars go
 * down the page like stairs. On a narrow sheet the words stand above their bar, else beside it. */
#include "present/picture/ladder.h"

#include <math.h>
#include <stdlib.h>

#include "base/number.h"
#include "base/text.h"
#include "present/drawing/letters.h"
#include "present/drawing/ramp.h"
#include "present/language/say.h"
#include "present/picture/structure.h"

static const double WORTH_A_RUNG_DB = 0.05;
static const double NARROW_PT = 460.0, WORDS_SHARE = 0.40, FIGURE_PT = 52.0;
static const double TEXT_PT = 7.8, BAR_PT = 9.0, RUNG_PT = 13.5, HIGH_RUNG_PT = 26.0;
enum { MOST_RUNGS = ES_LADDER_WALLS + 16 };

typedef enum rung_kind {
    RUNG_LEVEL, /* a level reached: no bar, a mark */
    RUNG_LOSS,
    RUNG_WALL,
    RUNG_ALLOWANCE,
    RUNG_NEED,
    RUNG_RESULT
} rung_kind;

typedef struct rung {
    rung_kind kind;
    earshot_text words;
    unsigned number; /* of a wall, from 1; 0: none */
    double term_db, from_dbm, to_dbm;
} rung;

typedef struct ladder {
    es_pen *pen;
    const es_subject *subject;
    rung rung[MOST_RUNGS];
    size_t n;
    double level_dbm, threshold_dbm;
} ladder;

/* ---- what the rungs are ---- */

static rung *add(ladder *l, rung_kind kind, double term_db)
{
    rung *r = &l->rung[l->n++];
    *r = (rung){.kind = kind, .term_db = term_db, .from_dbm = l->level_dbm, .to_dbm = l->level_dbm + term_db};
    l->level_dbm += term_db;
    return r;
}

static void add_plain(ladder *l, rung_kind kind, double term_db, es_message message)
{
    es_text_add(&add(l, kind, term_db)->words, es_message_text(l->pen->language, message));
}

static void add_if_any(ladder *l, double term_db, es_message message)
{
    if (fabs(term_db) >= WORTH_A_RUNG_DB) add_plain(l, RUNG_LOSS, term_db, message);
}

void es_obstacle_words(const earshot_site *site, size_t element, earshot_language language, earshot_text *text)
{
    const size_t material = earshot_site_element(site, element).material;
    const char *words = es_say_material(language, &earshot_site_plan(site)->material[material]);
    const char *label = es_element_label(site, element);
    if (label)
        ES_SAY(text, language, ES_SAY_LABELLED, label, words);
    else
        es_text_add(text, words);
}

/* The walls; returns what of the path loss beyond free space they leave. */
static double add_walls(ladder *l)
{
    const es_subject *s = l->subject;
    const earshot_loss *loss = &s->link->loss;
    double rest_db = -(loss->loss_db - loss->free_space_db) - s->link->pattern_db, more_db = 0.0;
    char figure[ES_SAY_FIGURE];
    for (size_t i = 0; i < s->obstacles.n; i++) {
        const es_obstacle *o = &s->obstacles.item[i];
        rest_db += o->loss_db;
        if (i >= ES_LADDER_WALLS) {
            more_db -= o->loss_db;
            continue;
        }
        rung *r = add(l, RUNG_WALL, -o->loss_db);
        r->number = (unsigned)i + 1;
        es_obstacle_words(s->check->site, o->element, l->pen->language, &r->words);
    }
    if (s->obstacles.n > ES_LADDER_WALLS)
        ES_SAY(&add(l, RUNG_LOSS, more_db)->words, l->pen->language, ES_SAY_RUNG_MORE,
               es_say_figure(figure, l->pen->language, (double)(s->obstacles.n - ES_LADDER_WALLS), 0));
    return rest_db;
}

static void add_path(ladder *l, const earshot_direction *d)
{
    const es_subject *s = l->subject;
    char length[ES_SAY_FIGURE];
    l->level_dbm = d->eirp_dbm;
    add_plain(l, RUNG_LEVEL, 0.0, ES_SAY_RUNG_SENT);
    add_if_any(l, -s->link->mounting_db, ES_SAY_RUNG_FIXING);
    add_if_any(l, -s->link->body_db, ES_SAY_RUNG_BODY);
    ES_SAY(&add(l, RUNG_LOSS, -s->link->loss.free_space_db)->words, l->pen->language, ES_SAY_RUNG_DISTANCE,
           es_say_length(length, l->pen->language, s->link->loss.distance_m));
    const double rest_db = add_walls(l);
    add_if_any(l, rest_db, s->check->model == EARSHOT_MODEL_RAYS ? ES_SAY_RUNG_OTHER_WAYS : ES_SAY_RUNG_TOGETHER);
    add_if_any(l, d->gain_dbi, ES_SAY_RUNG_ANTENNA);
    add_plain(l, RUNG_LEVEL, 0.0, ES_SAY_RUNG_ARRIVES);
}

static void add_margins(ladder *l, const earshot_direction *d)
{
    const es_subject *s = l->subject;
    char figure[ES_SAY_FIGURE];
    const double need_db = s->check->need.margin_db, over_db = s->link->dependable_db - need_db;
    l->threshold_dbm = d->threshold_dbm;
    l->level_dbm = d->threshold_dbm + d->margin_db; /* the level, rounded as it was judged */
    add_if_any(l, s->link->margin_db - d->margin_db, ES_SAY_RUNG_OTHER_WAY);
    add_plain(l, RUNG_ALLOWANCE, -s->link->allowance_db, ES_SAY_RUNG_ALLOWANCE);
    add_plain(l, RUNG_LEVEL, 0.0, ES_SAY_RUNG_DEPENDABLE);
    l->level_dbm = d->threshold_dbm;
    add_plain(l, RUNG_NEED, need_db, ES_SAY_RUNG_NEED);
    l->level_dbm = d->threshold_dbm + need_db;
    ES_SAY(&add(l, RUNG_RESULT, over_db)->words, l->pen->language,
           over_db < 0.0 ? ES_SAY_RUNG_MISSING : ES_SAY_RUNG_IN_HAND,
           es_say_figure(figure, l->pen->language, fabs(over_db), 1));
}

/* ---- drawing ---- */

typedef struct layout {
    double left, width; /* of the bars */
    double words_left, words_width;
    double low_dbm, high_dbm;
    double top, rung_pt;
    bool narrow;
} layout;

static double at_level(const layout *a, double dbm)
{
    return a->left + (dbm - a->low_dbm) / (a->high_dbm - a->low_dbm) * a->width;
}

static layout lay_out(const ladder *l, double top, double width_pt)
{
    const double words = width_pt * WORDS_SHARE;
    layout a = {.narrow = width_pt < NARROW_PT, .top = top, .low_dbm = INFINITY, .high_dbm = -INFINITY};
    a.left = a.narrow ? 4.0 : words + FIGURE_PT;
    a.width = width_pt - a.left - 6.0;
    a.words_left = 16.0;
    a.words_width = a.narrow ? width_pt - FIGURE_PT - 16.0 : words - 16.0;
    a.rung_pt = a.narrow ? HIGH_RUNG_PT : RUNG_PT;
    for (size_t i = 0; i < l->n; i++) {
        a.low_dbm = fmin(a.low_dbm, fmin(l->rung[i].from_dbm, l->rung[i].to_dbm));
        a.high_dbm = fmax(a.high_dbm, fmax(l->rung[i].from_dbm, l->rung[i].to_dbm));
    }
    a.low_dbm = floor((fmin(a.low_dbm, l->threshold_dbm) - 4.0) / 10.0) * 10.0;
    a.high_dbm = ceil((a.high_dbm + 2.0) / 10.0) * 10.0;
    return a;
}

static void draw_axis(es_pen *pen, const layout *a, double bottom)
{
    char figure[ES_SAY_FIGURE];
    const double step = (a->high_dbm - a->low_dbm) / a->width * 26.0 > 10.0 ? 20.0 : 10.0;
    cairo_set_line_width(pen->cairo, 0.4);
    for (double dbm = ceil(a->low_dbm / step) * step; dbm <= a->high_dbm; dbm += step) {
        const double x = at_level(a, dbm);
        cairo_set_source_rgb(pen->cairo, 0.82, 0.82, 0.82);
        cairo_move_to(pen->cairo, x, a->top);
        cairo_line_to(pen->cairo, x, bottom);
        cairo_stroke(pen->cairo);
        cairo_set_source_rgb(pen->cairo, 0.3, 0.3, 0.3);
        es_letters_line(pen, x, bottom + 1.0, es_say_figure(figure, pen->language, dbm, 0),
                        (es_type){.size_pt = 6.5, .align = ES_CENTRE});
    }
    cairo_set_source_rgb(pen->cairo, 0.3, 0.3, 0.3);
    es_letters_line(pen, a->left + a->width, bottom + 10.0, es_message_text(pen->language, ES_SAY_AXIS_LEVEL),
                    (es_type){.size_pt = 6.5, .align = ES_RIGHT});
}

static void draw_threshold(es_pen *pen, const layout *a, double threshold_dbm, double bottom)
{
    static const double DASH[] = {4.0, 2.0};
    const double x = at_level(a, threshold_dbm);
    char figure[ES_SAY_FIGURE];
    earshot_text words = {0};
    cairo_set_dash(pen->cairo, DASH, 2, 0.0);
    cairo_set_source_rgb(pen->cairo, ES_INK, ES_INK, ES_INK);
    cairo_set_line_width(pen->cairo, 1.1);
    cairo_move_to(pen->cairo, x, a->top);
    cairo_line_to(pen->cairo, x, bottom);
    cairo_stroke(pen->cairo);
    cairo_set_dash(pen->cairo, NULL, 0, 0.0);
    ES_SAY(&words, pen->language, ES_SAY_LINE_THRESHOLD, es_say_figure(figure, pen->language, threshold_dbm, 0));
    if (words.failed) pen->status = EARSHOT_MEMORY;
    es_letters_line(pen, fmax(x - 20.0, a->left), a->top - 11.0, words.data ? words.data : "",
                    (es_type){.size_pt = 6.5});
    earshot_text_clear(&words);
}

static void fill_bar(es_pen *pen, const rung *r)
{
    const es_colour k = es_ramp_at(r->kind == RUNG_NEED ? 1.0 : r->kind == RUNG_LOSS ? 0.3 : 0.0);
    const double tone = es_structure_tone(-r->term_db);
    if (r->kind == RUNG_WALL)
        cairo_set_source_rgb(pen->cairo, tone, tone, tone);
    else if (r->kind == RUNG_ALLOWANCE)
        cairo_set_source_rgb(pen->cairo, 1.0, 1.0, 1.0);
    else
        cairo_set_source_rgb(pen->cairo, k.red, k.green, k.blue);
    cairo_fill_preserve(pen->cairo);
    cairo_set_source_rgb(pen->cairo, ES_INK, ES_INK, ES_INK);
    cairo_set_line_width(pen->cairo, 0.7);
    if (r->kind == RUNG_ALLOWANCE) cairo_set_dash(pen->cairo, &(double){2.0}, 1, 0.0);
    cairo_stroke(pen->cairo);
    cairo_set_dash(pen->cairo, NULL, 0, 0.0);
}

/* A level is a small diamond; a missing stretch is filled dark, one in hand bright. */
static void draw_bar(es_pen *pen, const layout *a, const rung *r, double y)
{
    const double from = at_level(a, r->from_dbm), to = at_level(a, r->to_dbm);
    cairo_new_path(pen->cairo);
    if (r->kind == RUNG_LEVEL) {
        cairo_move_to(pen->cairo, to, y - 4.0);
        cairo_line_to(pen->cairo, to + 4.0, y);
        cairo_line_to(pen->cairo, to, y + 4.0);
        cairo_line_to(pen->cairo, to - 4.0, y);
        cairo_close_path(pen->cairo);
        cairo_set_source_rgb(pen->cairo, ES_INK, ES_INK, ES_INK);
        cairo_fill(pen->cairo);
        return;
    }
    const rung shown = {.kind = r->kind == RUNG_RESULT && r->term_db >= 0.0 ? RUNG_NEED : r->kind,
                        .term_db = r->term_db};
    cairo_rectangle(pen->cairo, fmin(from, to), y - BAR_PT / 2.0, fmax(fabs(to - from), 0.6), BAR_PT);
    fill_bar(pen, &shown);
}

static void draw_number(es_pen *pen, double y, unsigned number)
{
    char figure[ES_SAY_FIGURE];
    cairo_rectangle(pen->cairo, 0.0, y - 4.8, 12.0, 9.6);
    cairo_set_source_rgb(pen->cairo, ES_INK, ES_INK, ES_INK);
    cairo_fill(pen->cairo);
    cairo_set_source_rgb(pen->cairo, 1.0, 1.0, 1.0);
    es_letters_line(pen, 6.0, y - 4.6, es_say_figure(figure, pen->language, number, 0),
                    (es_type){.size_pt = 7.2, .bold = true, .align = ES_CENTRE});
}

/* Words that stand in the chart cover its lines. */
static void clear_ground(es_pen *pen, double left, double top, double width, double height)
{
    cairo_rectangle(pen->cairo, left - 1.5, top, width + 3.0, height);
    cairo_set_source_rgb(pen->cairo, 1.0, 1.0, 1.0);
    cairo_fill(pen->cairo);
    cairo_set_source_rgb(pen->cairo, ES_INK, ES_INK, ES_INK);
}

/* "-9.2 dB", or the level where one is reached. */
static void draw_figure(es_pen *pen, const layout *a, const rung *r, double y)
{
    char figure[ES_SAY_FIGURE], words[ES_SAY_FIGURE + 8];
    const bool level = r->kind == RUNG_LEVEL;
    const double value = level ? r->to_dbm : r->term_db;
    es_format(words, sizeof words, "%s%s %s", !level && value > 0.0 ? "+" : "",
              es_say_figure(figure, pen->language, value, 1), level ? "dBm" : "dB");
    es_letters_line(pen, a->narrow ? a->left + a->width : a->left - 8.0, y - 5.0, words,
                    (es_type){.size_pt = TEXT_PT, .align = ES_RIGHT, .bold = level});
}

/* Words too long for their place are set smaller, then cut by an ellipsis. */
static void draw_words(es_pen *pen, const layout *a, const rung *r, double y)
{
    const char *words = r->words.data ? r->words.data : "";
    es_type type = {.size_pt = TEXT_PT, .bold = r->kind == RUNG_LEVEL || r->kind == RUNG_RESULT};
    double width_pt, height_pt;
    es_letters_size(pen, words, type, &width_pt, &height_pt);
    if (width_pt > a->words_width) type.size_pt = fmax(6.2, TEXT_PT * a->words_width / width_pt);
    PangoLayout *line = es_letters_layout(pen, words, type, -1.0);
    pango_layout_set_ellipsize(line, PANGO_ELLIPSIZE_END);
    pango_layout_set_width(line, (int)(a->words_width * PANGO_SCALE));
    const double left = r->number ? a->words_left : 0.0, top = y - type.size_pt * 0.62;
    if (a->narrow) clear_ground(pen, left, top, fmin(width_pt, a->words_width), height_pt);
    cairo_move_to(pen->cairo, left, top);
    pango_cairo_show_layout(pen->cairo, line);
    cairo_new_path(pen->cairo);
    g_object_unref(line);
}

static void draw_rung(es_pen *pen, const layout *a, const rung *r, double y)
{
    const double bar = y + (a->narrow ? a->rung_pt - 8.0 : a->rung_pt / 2.0);
    const double words = y + (a->narrow ? 7.0 : a->rung_pt / 2.0);
    draw_bar(pen, a, r, bar);
    if (r->number) draw_number(pen, words, r->number);
    cairo_set_source_rgb(pen->cairo, ES_INK, ES_INK, ES_INK);
    draw_words(pen, a, r, words);
    draw_figure(pen, a, r, words);
}

double es_ladder_draw(es_pen *pen, const es_subject *subject, double top, double width_pt)
{
    const earshot_direction *d = subject->link->out.used ? &subject->link->out : &subject->link->back;
    ladder *l = calloc(1, sizeof *l);
    if (!l) {
        pen->status = EARSHOT_MEMORY;
        return 0.0;
    }
    l->pen = pen;
    l->subject = subject;
    add_path(l, d);
    add_margins(l, d);
    const layout a = lay_out(l, top + 12.0, width_pt);
    const double bottom = a.top + (double)l->n * a.rung_pt + 2.0;
    draw_axis(pen, &a, bottom);
    draw_threshold(pen, &a, l->threshold_dbm, bottom);
    for (size_t i = 0; i < l->n; i++) {
        draw_rung(pen, &a, &l->rung[i], a.top + (double)i * a.rung_pt);
        if (l->rung[i].words.failed) pen->status = EARSHOT_MEMORY;
        earshot_text_clear(&l->rung[i].words);
    }
    free(l);
    return bottom + 22.0 - top;
}
