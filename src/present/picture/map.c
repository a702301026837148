/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/picture/map.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "present/language/say.h"
#include "present/picture/legend.h"
#include "present/picture/measures.h"
#include "present/picture/shade.h"
#include "present/picture/storey.h"
#include "present/picture/structure.h"
#include "present/words.h"

static const double HIGHEST_SHARE = 1.1; /* of its width, for a plan on an endless sheet */
static const double LEAST_HEIGHT_PT = 60.0;

bool es_map_is_wide(const earshot_grid *grid)
{
    return (double)grid->columns * grid->cell_x_m > 1.25 * (double)grid->rows * grid->cell_y_m;
}

static double need_of(const es_map_subject *s)
{
    return s->view->check ? s->view->check->need.margin_db : earshot_site_plan(s->site)->need_margin_db;
}

static const char *or_empty(const earshot_text *words)
{
    return words->data ? words->data : "";
}

/* ---- heading ---- */

void es_map_words(const es_map_subject *subject, earshot_language language, earshot_text *text)
{
    const earshot_plan *plan = earshot_site_plan(subject->site);
    ES_SAY(text, language, ES_SAY_MAP_TITLE, plan->site ? plan->site : es_message_text(language, ES_SAY_UNNAMED_SITE),
           es_storey_words(plan, subject->view->grid->storey));
}

static void conditions(const es_map_subject *s, earshot_language language, earshot_text *words)
{
    const earshot_plan *plan = earshot_site_plan(s->site);
    const earshot_map_view *v = s->view;
    char band[ES_SAY_FIGURE], height[ES_SAY_FIGURE];
    const char *scene = earshot_site_scene(s->site);
    es_say_figure(band, language, v->frequency_hz / 1e6, 2);
    es_say_figure(height, language, v->grid->z_m - plan->storey[v->grid->storey].level_m, 1);
    ES_SAY(words, language, ES_SAY_MAP_CONDITIONS, v->radio->label ? v->radio->label : v->radio->name, height,
           v->from_label ? v->from_label : v->from_name, band, earshot_model_name(v->model));
    if (scene) ES_SAY(words, language, ES_SAY_SCENE, scene);
}

static double draw_heading(es_pen *pen, const es_map_subject *s, double width_pt)
{
    earshot_text title = {0}, below = {0};
    if (s->bare) return 0.0;
    es_map_words(s, pen->language, &title);
    conditions(s, pen->language, &below);
    if (title.failed || below.failed) pen->status = EARSHOT_MEMORY;
    cairo_set_source_rgb(pen->cairo, ES_INK, ES_INK, ES_INK);
    double y =
        2.0 + es_letters_paragraph(pen, 0.0, 0.0, width_pt, or_empty(&title), (es_type){.size_pt = 12.0, .bold = true});
    y += es_letters_paragraph(pen, 0.0, y, width_pt, or_empty(&below), (es_type){.size_pt = 7.5}) + 6.0;
    earshot_text_clear(&title);
    earshot_text_clear(&below);
    return y;
}

/* ---- legend ---- */

static void legend_lines(es_legend *legend, double need_db)
{
    char figure[ES_SAY_FIGURE];
    double x, y;
    const earshot_language language = legend->pen->language;
    earshot_text words = {0};
    es_legend_item(legend, 22.0, es_message_text(language, ES_SAY_LINE_ZERO), &x, &y);
    es_contours_sample(legend->pen, x, y, 22.0, 0);
    if (need_db != 0.0) {
        ES_SAY(&words, language, ES_SAY_LINE_NEED,
               es_say_figure(figure, language, need_db, need_db == rint(need_db) ? 0 : 1));
        if (words.failed) legend->pen->status = EARSHOT_MEMORY;
        es_legend_item(legend, 22.0, or_empty(&words), &x, &y);
        es_contours_sample(legend->pen, x, y, 22.0, 1);
    }
    es_legend_item(legend, 22.0, es_message_text(language, ES_SAY_LINE_TEN), &x, &y);
    es_contours_sample(legend->pen, x, y, 22.0, 2);
    earshot_text_clear(&words);
}

static void legend_marks(es_legend *legend, const es_map_subject *s)
{
    const earshot_language language = legend->pen->language;
    es_legend_heading(legend, es_message_text(language, ES_SAY_DEVICES));
    es_legend_mark(legend, ES_MARK_RECEIVER, es_message_text(language, ES_SAY_MARK_RECEIVER));
    if (s->view->check) {
        es_legend_mark(legend, ES_MARK_DIRECT, es_message_text(language, ES_SAY_MARK_DIRECT));
        es_legend_mark(legend, ES_MARK_REPEATER, es_message_text(language, ES_SAY_MARK_REPEATER));
        es_legend_mark(legend, ES_MARK_WIRE, es_message_text(language, ES_SAY_MARK_WIRE));
    } else {
        es_legend_mark(legend, ES_MARK_UNJUDGED, es_message_text(language, ES_SAY_MARK_DEVICE));
    }
    if (s->bare ? s->view->check && s->view->check->n_repeater : earshot_site_plan(s->site)->n_mounts > 0)
        es_legend_mark(legend, ES_MARK_MOUNT,
                       es_message_text(language, s->bare ? ES_SAY_MARK_FITTED : ES_SAY_MARK_MOUNT));
}

static void legend_material(es_legend *legend, const es_map_subject *s, size_t material)
{
    const earshot_language language = legend->pen->language;
    const double loss_db = earshot_material_loss_db(s->site, material, s->view->frequency_hz, NULL);
    char figure[ES_SAY_FIGURE];
    double x, y;
    earshot_text words = {0};
    ES_SAY(&words, language, ES_SAY_MATERIAL_LOSS,
           es_say_material(language, &earshot_site_plan(s->site)->material[material]),
           es_say_figure(figure, language, loss_db, loss_db < 9.95 ? 1 : 0));
    if (words.failed) legend->pen->status = EARSHOT_MEMORY;
    es_legend_item(legend, 14.0, or_empty(&words), &x, &y);
    es_structure_swatch(legend->pen, x, y - 3.5, 14.0, 7.0, loss_db);
    earshot_text_clear(&words);
}

/* For a reader who need not know each material. */
static void legend_tones(es_legend *legend)
{
    static const double LOSS_DB[] = {0.0, 4.0, 12.0, 30.0};
    double x, y;
    es_legend_item(legend, 4.0 * 14.0, es_message_text(legend->pen->language, ES_SAY_TONES), &x, &y);
    for (size_t i = 0; i < sizeof LOSS_DB / sizeof LOSS_DB[0]; i++)
        es_structure_swatch(legend->pen, x + 14.0 * (double)i, y - 3.5, 14.0, 7.0, LOSS_DB[i]);
}

static void legend_materials(es_legend *legend, const es_map_subject *s)
{
    const size_t n = earshot_site_plan(s->site)->n_materials;
    const es_scene_look look = {s->site, s->view->grid->storey, s->view->frequency_hz};
    bool *used = calloc(n + 1, sizeof *used);
    if (!used) {
        legend->pen->status = EARSHOT_MEMORY;
        return;
    }
    es_structure_materials(&look, used);
    es_legend_heading(legend, es_message_text(legend->pen->language, ES_SAY_MATERIALS));
    for (size_t i = 0; i < n; i++)
        if (used[i]) legend_material(legend, s, i);
    free(used);
}

static double draw_legend(es_pen *pen, const es_map_subject *s, double top, double width_pt)
{
    es_legend legend = es_legend_start(pen, top, width_pt);
    es_legend_ramp(&legend, need_of(s));
    legend_lines(&legend, need_of(s));
    legend_marks(&legend, s);
    if (s->bare)
        legend_tones(&legend);
    else
        legend_materials(&legend, s);
    return es_legend_end(&legend);
}

static double legend_alone(es_pen *pen, const void *subject, double width_pt, double height_pt)
{
    (void)height_pt;
    return draw_legend(pen, subject, 0.0, width_pt);
}

/* ---- the plan ---- */

static double room_for_plan(es_pen *pen, const es_map_subject *s, double top, double width_pt, double height_pt)
{
    if (isinf(height_pt)) return HIGHEST_SHARE * width_pt;
    const es_picture alone = {legend_alone, s, false};
    double legend_pt = 0.0;
    const earshot_status status = es_picture_height(&alone, pen->language, width_pt, INFINITY, &legend_pt);
    if (status) pen->status = status;
    return fmax(height_pt - top - legend_pt - ES_MEASURES_PT - 22.0, LEAST_HEIGHT_PT);
}

/* Clear of the devices; the labels of the devices then keep clear of these. */
static void label_contours(es_pen *pen, const es_frame *frame, const es_map_subject *s, es_contour_labels *labels)
{
    const earshot_plan *plan = earshot_site_plan(s->site);
    const double half = ES_MARK_PT;
    size_t n = 0;
    es_box *mark = malloc((plan->n_devices + 1) * sizeof *mark);
    labels->n = 0;
    if (!mark) {
        pen->status = EARSHOT_MEMORY;
        return;
    }
    for (size_t i = 0; i < plan->n_devices; i++) {
        const earshot_device *d = &plan->device[i];
        const double x = es_frame_x(frame, d->point.x_m), y = es_frame_y(frame, d->point.y_m);
        if (d->storey == s->view->grid->storey) mark[n++] = (es_box){x - half, y - half, x + half, y + half};
    }
    es_contours_label(pen, frame, s->view->grid, need_of(s), mark, n, labels);
    free(mark);
}

static void draw_plan(es_pen *pen, const es_frame *frame, const es_map_subject *s)
{
    const earshot_plan *plan = earshot_site_plan(s->site);
    const earshot_map_view *v = s->view;
    const es_scene_look look = {s->site, v->grid->storey, v->frequency_hz};
    const es_posts posts = {plan, v->grid->storey, v->check, v->from_name, s->bare, EARSHOT_NONE, NULL, 0};
    es_contour_labels labels;
    cairo_t *c = pen->cairo;
    es_shade_draw(pen, frame, v->grid);
    es_contours_draw(pen, frame, v->grid, need_of(s));
    cairo_save(c);
    cairo_rectangle(c, frame->left, frame->top, es_frame_width(frame), es_frame_height(frame));
    cairo_clip(c);
    es_structure_draw(pen, frame, &look);
    cairo_restore(c);
    cairo_rectangle(c, frame->left, frame->top, es_frame_width(frame), es_frame_height(frame));
    cairo_set_source_rgb(c, ES_INK, ES_INK, ES_INK);
    cairo_set_line_width(c, 0.6);
    cairo_stroke(c);
    es_measures_draw(pen, frame, plan, v->grid->storey);
    label_contours(pen, frame, s, &labels);
    es_posts_draw(pen, frame, &posts, labels.box, labels.n);
}

double es_map_compose(es_pen *pen, const void *subject, double width_pt, double height_pt)
{
    const es_map_subject *s = subject;
    const earshot_grid *g = s->view->grid;
    const earshot_point low = {g->x0_m, g->y0_m};
    const earshot_point high = {g->x0_m + (double)g->columns * g->cell_x_m, g->y0_m + (double)g->rows * g->cell_y_m};
    double ratio;
    double y = draw_heading(pen, s, width_pt);
    const double room = room_for_plan(pen, s, y, width_pt, height_pt);
    const es_frame frame =
        es_frame_fit(low, high, ES_MEASURES_PT, y, width_pt - ES_MEASURES_PT - 2.0, room, pen->round_scale, &ratio);
    draw_plan(pen, &frame, s);
    y += es_frame_height(&frame) + ES_MEASURES_PT;
    es_scale_bar_draw(pen, 8.0, y, frame.scale, ratio);
    y += 18.0;
    return y + draw_legend(pen, s, y, width_pt);
}

/* ---- public ---- */

static bool is_sound(const earshot_map_view *view)
{
    return view->grid && view->grid->rows > 0 && view->grid->columns > 0 && view->radio && view->from_name;
}

earshot_status earshot_picture_map(const earshot_site *site, const earshot_map_view *view, size_t n_views,
                                   const earshot_picture_look *look, earshot_text *picture)
{
    earshot_text title = {0};
    earshot_status status = EARSHOT_ARGUMENT;
    for (size_t i = 0; i < n_views; i++)
        if (!is_sound(&view[i])) return EARSHOT_ARGUMENT;
    if (n_views == 0) return EARSHOT_ARGUMENT;
    es_picture *page = calloc(n_views, sizeof *page);
    es_map_subject *subject = calloc(n_views, sizeof *subject);
    if (page && subject) {
        for (size_t i = 0; i < n_views; i++) {
            subject[i] = (es_map_subject){site, &view[i], false};
            page[i] = (es_picture){es_map_compose, &subject[i], es_map_is_wide(view[i].grid)};
        }
        es_map_words(&subject[0], look->language, &title);
        status = title.failed ? EARSHOT_MEMORY : es_picture_write(page, n_views, look, or_empty(&title), picture);
    } else {
        status = EARSHOT_MEMORY;
    }
    earshot_text_clear(&title);
    free(page);
    free(subject);
    return status;
}
