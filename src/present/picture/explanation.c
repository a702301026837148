/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The ladder, and below it the plan with the line between the two ends: a plan for each storey that has an end. */
#include "present/picture/explanation.h"

#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "base/number.h"
#include "base/text.h"
#include "present/drawing/letters.h"
#include "present/language/say.h"
#include "present/picture/ladder.h"
#include "present/picture/measures.h"
#include "present/picture/storey.h"
#include "present/picture/structure.h"

static const double AROUND_M = 1.6, AROUND_SHARE = 0.12, FLATTEST = 0.32, HIGHEST = 0.62, NARROWEST_M = 9.0;
static const double SIDE_BY_SIDE_PT = 460.0, BETWEEN_PT = 12.0; /* width from which two plans stand abreast */

enum { LINE_BOXES = 120 };

/* ---- what it is about ---- */

earshot_status es_explanation_new(const earshot_check *check, size_t device, bool bare, es_explanation *explanation)
{
    if (device >= check->n_devices) return EARSHOT_ARGUMENT;
    const earshot_link *link = &check->device[device].link;
    if (!link->out.used && !link->back.used) return EARSHOT_ARGUMENT;
    const earshot_vec3 at = earshot_site_device_at(check->site, device);
    const earshot_vec3 receiver = earshot_site_receiver_at(check->site, check->receiver);
    const bool outward = link->out.used;
    *explanation = (es_explanation){
        .subject = {check, &earshot_site_plan(check->site)->device[device], device, link, {0}}, .bare = bare};
    return es_obstacles_find(check->site, outward ? at : receiver, outward ? receiver : at, check->frequency_hz,
                             &explanation->subject.obstacles);
}

void es_explanation_clear(es_explanation *explanation)
{
    es_obstacles_clear(&explanation->subject.obstacles);
}

static const char *device_words(const es_subject *s)
{
    return s->device->label ? s->device->label : s->device->name;
}

static const char *receiver_words(const es_subject *s)
{
    const earshot_receiver *r = &earshot_site_plan(s->check->site)->receiver[s->check->receiver];
    return r->label ? r->label : r->name;
}

void es_explanation_words(const es_explanation *explanation, earshot_language language, earshot_text *text)
{
    static const es_message WHY[] = {ES_SAY_EXPLAIN_DIRECT, ES_SAY_EXPLAIN_REPEATER, ES_SAY_EXPLAIN_WIRE};
    const es_subject *s = &explanation->subject;
    ES_SAY(text, language, WHY[s->check->device[s->index].verdict], device_words(s));
}

static double draw_heading(es_pen *pen, const es_explanation *e, double width_pt)
{
    const es_subject *s = &e->subject;
    const bool outward = s->link->out.used;
    char length[ES_SAY_FIGURE], band[ES_SAY_FIGURE];
    earshot_text title = {0}, below = {0};
    if (e->bare) return 0.0;
    es_explanation_words(e, pen->language, &title);
    ES_SAY(&below, pen->language, ES_SAY_EXPLAIN_CONDITIONS, outward ? device_words(s) : receiver_words(s),
           outward ? receiver_words(s) : device_words(s),
           es_say_length(length, pen->language, s->link->loss.distance_m),
           es_say_figure(band, pen->language, s->check->frequency_hz / 1e6, 2), earshot_model_name(s->check->model));
    if (title.failed || below.failed) pen->status = EARSHOT_MEMORY;
    cairo_set_source_rgb(pen->cairo, ES_INK, ES_INK, ES_INK);
    double y = 2.0 + es_letters_paragraph(pen, 0.0, 0.0, width_pt, title.data ? title.data : "",
                                          (es_type){.size_pt = 12.0, .bold = true});
    y += es_letters_paragraph(pen, 0.0, y, width_pt, below.data ? below.data : "", (es_type){.size_pt = 7.5}) + 6.0;
    earshot_text_clear(&title);
    earshot_text_clear(&below);
    return y;
}

/* ---- the plan ---- */

typedef struct leg {
    earshot_vec3 a, b; /* from the sending end */
    unsigned a_storey, b_storey;
} leg;

static leg leg_of(const es_subject *s)
{
    const earshot_plan *plan = earshot_site_plan(s->check->site);
    const leg l = {earshot_site_device_at(s->check->site, s->index),
                   earshot_site_receiver_at(s->check->site, s->check->receiver), s->device->storey,
                   plan->receiver[s->check->receiver].storey};
    return s->link->out.used ? l : (leg){l.b, l.a, l.b_storey, l.a_storey};
}

/* The surroundings of the line, not too flat to be a plan. */
static void find_window(const leg *l, earshot_point *low, earshot_point *high)
{
    const double around = fmax(AROUND_M, AROUND_SHARE * hypot(l->b.x_m - l->a.x_m, l->b.y_m - l->a.y_m));
    *low = (earshot_point){fmin(l->a.x_m, l->b.x_m) - around, fmin(l->a.y_m, l->b.y_m) - around};
    *high = (earshot_point){fmax(l->a.x_m, l->b.x_m) + around, fmax(l->a.y_m, l->b.y_m) + around};
    const double wider = (NARROWEST_M - (high->x_m - low->x_m)) / 2.0;
    if (wider > 0.0) {
        low->x_m -= wider;
        high->x_m += wider;
    }
    const double more_y = FLATTEST * (high->x_m - low->x_m) - (high->y_m - low->y_m);
    const double more_x = (high->y_m - low->y_m) / HIGHEST - (high->x_m - low->x_m);
    if (more_y > 0.0) {
        low->y_m -= more_y / 2.0;
        high->y_m += more_y / 2.0;
    }
    if (more_x > 0.0) {
        low->x_m -= more_x / 2.0;
        high->x_m += more_x / 2.0;
    }
}

static void draw_line(es_pen *pen, const es_frame *frame, const leg *l)
{
    static const double DASH[] = {7.0, 3.0};
    const es_colour k = es_ramp_at(0.0);
    cairo_new_path(pen->cairo);
    cairo_move_to(pen->cairo, es_frame_x(frame, l->a.x_m), es_frame_y(frame, l->a.y_m));
    cairo_line_to(pen->cairo, es_frame_x(frame, l->b.x_m), es_frame_y(frame, l->b.y_m));
    cairo_set_source_rgb(pen->cairo, 1.0, 1.0, 1.0);
    cairo_set_line_width(pen->cairo, 3.6);
    cairo_stroke_preserve(pen->cairo);
    cairo_set_source_rgb(pen->cairo, k.red, k.green, k.blue);
    cairo_set_line_width(pen->cairo, 1.8);
    cairo_set_dash(pen->cairo, DASH, 2, 0.0);
    cairo_stroke(pen->cairo);
    cairo_set_dash(pen->cairo, NULL, 0, 0.0);
}

/* Numbers of the crossings that belong on this storey's plan: all where there is one plan; slabs on both. */
static size_t list_crossings(es_pen *pen, const es_subject *s, const es_frame *frame, const leg *l, unsigned storey,
                             es_arena *arena, es_label *label)
{
    const bool two = l->a_storey != l->b_storey;
    const double length = s->link->loss.distance_m;
    size_t n = 0;
    for (size_t i = 0; i < s->obstacles.n && i < ES_LADDER_WALLS; i++) {
        char figure[ES_SAY_FIGURE];
        const es_obstacle *o = &s->obstacles.item[i];
        const earshot_element e = earshot_site_element(s->check->site, o->element);
        const bool elsewhere = two && e.storey != storey && e.kind != EARSHOT_ELEMENT_SLAB;
        const double share = length > 0.0 ? o->distance_m / length : 0.0;
        if (elsewhere) continue;
        es_say_figure(figure, pen->language, (double)i + 1.0, 0);
        label[n++] = (es_label){.x = es_frame_x(frame, l->a.x_m + share * (l->b.x_m - l->a.x_m)),
                                .y = es_frame_y(frame, l->a.y_m + share * (l->b.y_m - l->a.y_m)),
                                .words = es_arena_copy(arena, figure, sizeof figure, 1),
                                .badge = true,
                                .important = true};
        if (!label[n - 1].words) {
            pen->status = EARSHOT_MEMORY;
            return n - 1;
        }
    }
    return n;
}

/* The end that lies on the other storey's plan: "panel: Ground floor". */
static size_t add_other_end(es_pen *pen, const es_explanation *e, const es_frame *frame, const leg *l, unsigned storey,
                            es_arena *arena, es_label *label)
{
    const es_subject *s = &e->subject;
    const earshot_plan *plan = earshot_site_plan(s->check->site);
    const bool at_a = l->a_storey != storey;
    const earshot_vec3 *at = at_a ? &l->a : &l->b;
    const bool device = at_a == s->link->out.used;
    char number[ES_SAY_FIGURE];
    earshot_text words = {0};
    if (l->a_storey == l->b_storey) return 0;
    es_say_figure(number, pen->language, (double)s->index + 1.0, 0);
    const char *device_name = e->bare ? number : s->device->name;
    const char *receiver_name =
        e->bare ? es_message_text(pen->language, ES_SAY_MARK_RECEIVER) : plan->receiver[s->check->receiver].name;
    ES_SAY(&words, pen->language, ES_SAY_OTHER_STOREY, device ? device_name : receiver_name,
           es_storey_words(plan, at_a ? l->a_storey : l->b_storey));
    *label = (es_label){.x = es_frame_x(frame, at->x_m), .y = es_frame_y(frame, at->y_m)};
    label->words = words.failed ? NULL : es_arena_string(arena, words.data, words.size);
    earshot_text_clear(&words);
    if (label->words) return 1;
    pen->status = EARSHOT_MEMORY;
    return 0;
}

/* Labels keep clear of the line: small boxes along it. */
static size_t cover_line(const es_frame *frame, const leg *l, es_box *box, size_t most)
{
    const double ax = es_frame_x(frame, l->a.x_m), ay = es_frame_y(frame, l->a.y_m);
    const double bx = es_frame_x(frame, l->b.x_m), by = es_frame_y(frame, l->b.y_m);
    for (size_t i = 0; i < most; i++) {
        const double t = ((double)i + 0.5) / (double)most;
        const double x = ax + t * (bx - ax), y = ay + t * (by - ay);
        box[i] = (es_box){x - 1.5, y - 1.5, x + 1.5, y + 1.5};
    }
    return most;
}

static void draw_storey(es_pen *pen, const es_frame *frame, const es_explanation *e, const leg *l, unsigned storey)
{
    const es_subject *s = &e->subject;
    const earshot_plan *plan = earshot_site_plan(s->check->site);
    const es_scene_look look = {s->check->site, storey, s->check->frequency_hz};
    es_label label[ES_LADDER_WALLS + 1];
    es_box line[LINE_BOXES];
    es_arena *arena = es_arena_new();
    if (!arena) {
        pen->status = EARSHOT_MEMORY;
        return;
    }
    es_posts posts = {plan,    storey,         s->check, plan->receiver[s->check->receiver].name,
                      e->bare, (long)s->index, label,    0};
    posts.n_crossings = list_crossings(pen, s, frame, l, storey, arena, label);
    posts.n_crossings += add_other_end(pen, e, frame, l, storey, arena, &label[posts.n_crossings]);
    cairo_save(pen->cairo);
    cairo_rectangle(pen->cairo, frame->left, frame->top, es_frame_width(frame), es_frame_height(frame));
    cairo_clip(pen->cairo);
    es_structure_draw(pen, frame, &look);
    draw_line(pen, frame, l);
    cairo_restore(pen->cairo);
    cairo_rectangle(pen->cairo, frame->left, frame->top, es_frame_width(frame), es_frame_height(frame));
    cairo_set_source_rgb(pen->cairo, 0.6, 0.6, 0.6);
    cairo_set_line_width(pen->cairo, 0.6);
    cairo_stroke(pen->cairo);
    es_posts_draw(pen, frame, &posts, line, cover_line(frame, l, line, LINE_BOXES));
    es_arena_free(arena);
}

static double draw_plan(es_pen *pen, const es_explanation *e, unsigned storey, double left, double top, double width_pt,
                        double height_pt)
{
    earshot_point low, high;
    double ratio;
    earshot_text words = {0};
    const es_subject *s = &e->subject;
    const leg l = leg_of(s);
    ES_SAY(&words, pen->language, ES_SAY_PLAN_OF, es_storey_words(earshot_site_plan(s->check->site), storey));
    if (words.failed) pen->status = EARSHOT_MEMORY;
    cairo_set_source_rgb(pen->cairo, ES_INK, ES_INK, ES_INK);
    double y = top + 3.0 +
               es_letters_paragraph(pen, left, top, width_pt, words.data ? words.data : "", (es_type){.size_pt = 7.5});
    earshot_text_clear(&words);
    find_window(&l, &low, &high);
    const es_frame frame =
        es_frame_fit(low, high, left + 1.0, y, width_pt - 2.0, fmax(height_pt - 40.0, 60.0), pen->round_scale, &ratio);
    draw_storey(pen, &frame, e, &l, storey);
    y += es_frame_height(&frame) + 6.0;
    es_scale_bar_draw(pen, left + 1.0, y, frame.scale, ratio);
    return y + 14.0 - top;
}

double es_explanation_compose(es_pen *pen, const void *subject, double width_pt, double height_pt)
{
    const es_explanation *e = subject;
    const es_subject *s = &e->subject;
    const leg l = leg_of(s);
    const bool two = l.a_storey != l.b_storey, abreast = two && width_pt >= SIDE_BY_SIDE_PT;
    const double plan_pt = abreast ? (width_pt - BETWEEN_PT) / 2.0 : width_pt;
    double y = draw_heading(pen, e, width_pt);
    y += es_ladder_draw(pen, s, y, width_pt) + 4.0;
    const double room = isinf(height_pt) ? width_pt : (height_pt - y) / (two && !abreast ? 2.0 : 1.0);
    const double first = draw_plan(pen, e, l.a_storey, 0.0, y, plan_pt, room);
    if (!two) return y + first;
    const double x = abreast ? plan_pt + BETWEEN_PT : 0.0;
    if (!abreast) y += first + 6.0;
    return y + draw_plan(pen, e, l.b_storey, x, y, plan_pt, room);
}

/* ---- public ---- */

earshot_status earshot_picture_explanation(const earshot_check *check, size_t device, const earshot_picture_look *look,
                                           earshot_text *picture)
{
    es_explanation e;
    earshot_text title = {0};
    earshot_status status = es_explanation_new(check, device, false, &e);
    if (status) return status;
    es_explanation_words(&e, look->language, &title);
    const es_picture page = {es_explanation_compose, &e, false};
    status = title.failed ? EARSHOT_MEMORY : es_picture_write(&page, 1, look, title.data, picture);
    earshot_text_clear(&title);
    es_explanation_clear(&e);
    return status;
}
