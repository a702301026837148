/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Wall positions are read back from the SVG and compared with the plan. Where the plan lies on the page is found from
 * the outer wall alone, which is the thickest line. */
#include "scene.h"

#include <stdlib.h>
#include <string.h>

enum { MOST = 4000 };

/* One straight stroke, on the page. */
typedef struct stroke {
    double x0, y0, x1, y1, width;
} stroke;

typedef struct drawing {
    stroke item[MOST];
    size_t n;
    double scale, x0, y0; /* points a metre; the page's place of 0,0 */
} drawing;

static void add_stroke(drawing *d, double x0, double y0, double x1, double y1, double width)
{
    assert_true(d->n < MOST);
    d->item[d->n++] = (stroke){x0, y0, x1, y1, width};
}

/* "M x y L x y ... Z": its straight pieces. Curves are none of ours. */
static void read_path(drawing *d, const char *at, double width)
{
    double x = 0.0, y = 0.0, first_x = 0.0, first_y = 0.0;
    for (; *at && *at != '"'; at++) {
        char *end;
        if (*at == 'C') return;
        if (*at == 'Z') add_stroke(d, x, y, first_x, first_y, width);
        if (*at != 'M' && *at != 'L') continue;
        const double to_x = strtod(at + 1, &end), to_y = strtod(end, &end);
        if (*at == 'L') add_stroke(d, x, y, to_x, to_y, width);
        if (*at == 'M') first_x = to_x, first_y = to_y;
        x = to_x, y = to_y;
        at = end - 1;
    }
}

/* Grey lines inside their dark rims are walls: the colour is a grey that is neither white nor the ink. */
static void read_svg(drawing *d, const char *svg)
{
    *d = (drawing){0};
    for (const char *at = strstr(svg, "<path style=\"fill:none;stroke-width:"); at;
         at = strstr(at + 1, "<path style=\"fill:none;stroke-width:")) {
        const double width = strtod(at + strlen("<path style=\"fill:none;stroke-width:"), NULL);
        const char *path = strstr(at, " d=\"");
        assert_non_null(path);
        read_path(d, path + 4, width);
    }
}

/* The outer wall runs from 0.7 to 18.7 and is 0.313 m thick; at 8.9 it has no opening. */
static void find_place(drawing *d)
{
    double left = INFINITY, right = -INFINITY, top = INFINITY;
    for (size_t i = 0; i < d->n; i++) {
        const stroke *s = &d->item[i];
        const double scale = hypot(s->x1 - s->x0, s->y1 - s->y0) / 18.0;
        if (fabs(s->width - 0.313 * scale) > 0.01 || fabs(s->y1 - s->y0) > 1e-6) continue;
        left = fmin(left, fmin(s->x0, s->x1));
        right = fmax(right, fmax(s->x0, s->x1));
        top = fmin(top, s->y0);
    }
    assert_true(right > left);
    d->scale = (right - left) / 18.0;
    d->x0 = left - 0.7 * d->scale;
    d->y0 = top + 8.9 * d->scale;
}

static bool is_near(const drawing *d, double x, double y, double x_m, double y_m)
{
    return hypot(x - (d->x0 + x_m * d->scale), y - (d->y0 - y_m * d->scale)) < 0.02 * d->scale; /* 2 cm */
}

static bool is_drawn(const drawing *d, double ax_m, double ay_m, double bx_m, double by_m, double thickness_m)
{
    for (size_t i = 0; i < d->n; i++) {
        const stroke *s = &d->item[i];
        if (fabs(s->width - thickness_m * d->scale) > 0.05) continue;
        if (is_near(d, s->x0, s->y0, ax_m, ay_m) && is_near(d, s->x1, s->y1, bx_m, by_m)) return true;
        if (is_near(d, s->x0, s->y0, bx_m, by_m) && is_near(d, s->x1, s->y1, ax_m, ay_m)) return true;
    }
    return false;
}

static void draw(const scene *s, earshot_text *svg)
{
    const earshot_picture_look look = {.format = EARSHOT_PICTURE_SVG};
    assert_int_equal(earshot_picture_map(s->site, &s->view, 1, &look, svg), EARSHOT_OK);
}

static void walls_are_where_the_plan_has_them(void **state)
{
    (void)state;
    static drawing d;
    scene s;
    earshot_text svg = {0};
    scene_new(&s, NULL);
    draw(&s, &svg);
    read_svg(&d, svg.data);
    find_place(&d);
    assert_true(is_drawn(&d, 0.7, 8.9, 18.7, 8.9, 0.313)); /* the ring, beside its window */
    assert_true(is_drawn(&d, 18.7, 0.4, 18.7, 8.9, 0.313));
    assert_true(is_drawn(&d, 0.7, 0.4, 8.4, 0.4, 0.313));
    assert_true(is_drawn(&d, 10.9, 0.4, 18.7, 0.4, 0.313));
    assert_true(is_drawn(&d, 8.4, 0.4, 10.9, 0.4, 0.313)); /* the window fills it */
    assert_true(is_drawn(&d, 6.2, 0.4, 6.2, 2.3, 0.127));  /* the partition, beside its door */
    assert_true(is_drawn(&d, 6.2, 3.2, 6.2, 8.9, 0.127));
    assert_false(is_drawn(&d, 6.2, 2.3, 6.2, 3.2, 0.127));
    assert_true(is_drawn(&d, 6.2, 5.1, 11.9, 8.9, 0.127));  /* slanting */
    assert_true(is_drawn(&d, 13.0, 1.0, 17.0, 1.0, 0.1));   /* thickness not stated */
    assert_false(is_drawn(&d, 6.2, 5.1, 11.9, 8.5, 0.127)); /* the test can tell */
    earshot_text_clear(&svg);
    scene_free(&s);
}

static void a_wall_that_is_gone_is_not_drawn(void **state)
{
    (void)state;
    static drawing d;
    scene s;
    earshot_text svg = {0};
    scene_new(&s, "slanting");
    draw(&s, &svg);
    read_svg(&d, svg.data);
    find_place(&d);
    assert_false(is_drawn(&d, 6.2, 5.1, 11.9, 8.9, 0.127));
    assert_true(is_drawn(&d, 6.2, 3.2, 6.2, 8.9, 0.127));
    earshot_text_clear(&svg);
    scene_free(&s);
}

static void the_title_tells_what_it_is(void **state)
{
    (void)state;
    scene s;
    earshot_text svg = {0};
    scene_new(&s, NULL);
    draw(&s, &svg);
    assert_non_null(strstr(svg.data, "<title>Test &amp; &lt;site>: Ground floor</title>"));
    assert_non_null(strstr(svg.data, "xml:lang=\"en\""));
    earshot_text_clear(&svg);
    scene_free(&s);
}

static void the_same_plan_gives_the_same_bytes(void **state)
{
    (void)state;
    const earshot_picture_format format[] = {EARSHOT_PICTURE_SVG, EARSHOT_PICTURE_PNG, EARSHOT_PICTURE_PDF};
    scene s;
    scene_new(&s, NULL);
    for (size_t i = 0; i < 3; i++) {
        const earshot_picture_look look = {.format = format[i], .language = EARSHOT_GERMAN};
        earshot_text first = {0}, second = {0};
        assert_int_equal(earshot_picture_map(s.site, &s.view, 1, &look, &first), EARSHOT_OK);
        assert_int_equal(earshot_picture_map(s.site, &s.view, 1, &look, &second), EARSHOT_OK);
        assert_int_equal(first.size, second.size);
        assert_memory_equal(first.data, second.data, first.size);
        earshot_text_clear(&first);
        earshot_text_clear(&second);
    }
    scene_free(&s);
}

static void what_cannot_be_drawn_is_refused(void **state)
{
    (void)state;
    scene s;
    earshot_text out = {0};
    earshot_picture_look look = {.format = EARSHOT_PICTURE_SVG};
    scene_new(&s, NULL);
    const earshot_map_view two[2] = {s.view, s.view};
    assert_int_equal(earshot_picture_map(s.site, two, 2, &look, &out), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_picture_map(s.site, two, 0, &look, &out), EARSHOT_ARGUMENT);
    look.width_pt = 10.0;
    assert_int_equal(earshot_picture_map(s.site, two, 1, &look, &out), EARSHOT_ARGUMENT);
    look.width_pt = NAN;
    assert_int_equal(earshot_picture_map(s.site, two, 1, &look, &out), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_picture_explanation(&s.check, 99, &look, &out), EARSHOT_ARGUMENT);
    assert_int_equal(out.size, 0);
    scene_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(walls_are_where_the_plan_has_them), cmocka_unit_test(a_wall_that_is_gone_is_not_drawn),
        cmocka_unit_test(the_title_tells_what_it_is),        cmocka_unit_test(the_same_plan_gives_the_same_bytes),
        cmocka_unit_test(what_cannot_be_drawn_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
