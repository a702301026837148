/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A picture is compared with a stored one, within a tolerance that a missing wall exceeds. To store it anew, look at
 * what is drawn first: EARSHOT_STORE_PICTURES=1 test_png. */
#include "scene.h"

#include <cairo.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char STORED[] = EARSHOT_SOURCE_DIR "/tests/unit/picture/map.png";
static const double MOST_DIFFERENT = 0.002; /* share of pixels: the rims of letters, on another machine */
enum { CLEARLY = 40 };                      /* levels of a channel by which a pixel differs clearly */

typedef struct bytes {
    const earshot_text *text;
    size_t at;
} bytes;

static cairo_status_t take(void *closure, unsigned char *data, unsigned n)
{
    bytes *b = closure;
    if (b->at + n > b->text->size) return CAIRO_STATUS_READ_ERROR;
    memcpy(data, b->text->data + b->at, n);
    b->at += n;
    return CAIRO_STATUS_SUCCESS;
}

static void draw(const char *without, earshot_text *png)
{
    scene s;
    const earshot_picture_look look = {.format = EARSHOT_PICTURE_PNG, .width_pt = 300.0};
    scene_new(&s, without);
    assert_int_equal(earshot_picture_map(s.site, &s.view, 1, &look, png), EARSHOT_OK);
    scene_free(&s);
}

static cairo_surface_t *decode(const earshot_text *png)
{
    bytes b = {png, 0};
    cairo_surface_t *image = cairo_image_surface_create_from_png_stream(take, &b);
    assert_int_equal(cairo_surface_status(image), CAIRO_STATUS_SUCCESS);
    return image;
}

/* Share of the pixels that differ clearly; 1 where the sizes do. */
static double difference(cairo_surface_t *a, cairo_surface_t *b)
{
    const int width = cairo_image_surface_get_width(a), height = cairo_image_surface_get_height(a);
    size_t different = 0;
    if (width != cairo_image_surface_get_width(b) || height != cairo_image_surface_get_height(b)) return 1.0;
    for (int y = 0; y < height; y++) {
        const unsigned char *p = cairo_image_surface_get_data(a) + (ptrdiff_t)y * cairo_image_surface_get_stride(a);
        const unsigned char *q = cairo_image_surface_get_data(b) + (ptrdiff_t)y * cairo_image_surface_get_stride(b);
        for (int x = 0; x < width; x++) {
            int most = 0;
            for (int c = 0; c < 3; c++) {
                const int off = abs(p[4 * x + c] - q[4 * x + c]);
                if (off > most) most = off;
            }
            different += most > CLEARLY;
        }
    }
    return (double)different / ((double)width * (double)height);
}

static void store(const earshot_text *png)
{
    FILE *file = fopen(STORED, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(png->data, 1, png->size, file), png->size);
    assert_int_equal(fclose(file), 0);
}

static void a_picture_is_like_the_stored_one(void **state)
{
    (void)state;
    earshot_text png = {0};
    draw(NULL, &png);
    if (getenv("EARSHOT_STORE_PICTURES")) store(&png);
    cairo_surface_t *now = decode(&png), *stored = cairo_image_surface_create_from_png(STORED);
    assert_int_equal(cairo_surface_status(stored), CAIRO_STATUS_SUCCESS);
    const double share = difference(now, stored);
    if (share >= MOST_DIFFERENT) fail_msg("%.4f of the pixels differ", share);
    cairo_surface_destroy(now);
    cairo_surface_destroy(stored);
    earshot_text_clear(&png);
}

static void a_missing_thing_exceeds_the_tolerance(void **state)
{
    (void)state;
    static const char *const THING[] = {
        " 6.2," /* the partition with its door */, "slanting", "label=vault", "window", "tank", "device near"};
    cairo_surface_t *stored = cairo_image_surface_create_from_png(STORED);
    for (size_t i = 0; i < sizeof THING / sizeof THING[0]; i++) {
        earshot_text png = {0};
        draw(THING[i], &png);
        cairo_surface_t *now = decode(&png);
        const double share = difference(now, stored);
        if (share <= MOST_DIFFERENT) fail_msg("without '%s' only %.4f of the pixels differ", THING[i], share);
        cairo_surface_destroy(now);
        earshot_text_clear(&png);
    }
    cairo_surface_destroy(stored);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_picture_is_like_the_stored_one),
        cmocka_unit_test(a_missing_thing_exceeds_the_tolerance),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
