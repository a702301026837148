/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "scene.h"

#include <stdlib.h>
#include <string.h>

/* An outer wall that is the thickest, a slanting one, a partition with a door, a window; what is needed is met, lacked
 * a little, and lacked altogether; a label that wants escaping. */
const char SCENE_PLAN[] = "plan 1\n"
                          "site \"Test & <site>\"\n"
                          "band 868.30MHz\n"
                          "need margin=6dB confidence=95%\n"
                          "radio hub \"Hub\" erp=14dBm gain=0dBi sensitivity=-106dBm twoway=yes\n"
                          "radio sensor \"Sensor\" erp=8dBm\n"
                          "material outer layers=brick:313mm loss=868:9dB spread=1dB basis=judgement source=\"test\"\n"
                          "material inner layers=brick:127mm loss=868:4dB spread=1dB basis=judgement source=\"test\"\n"
                          "material sealed loss=868:120dB spread=1dB basis=judgement source=\"test\"\n"
                          "storey ground \"Ground floor\" level=0m height=2.5m\n"
                          "wall outer 0.7,0.4 18.7,0.4 18.7,8.9 0.7,8.9 0.7,0.4\n"
                          "wall inner 6.2,0.4 6.2,8.9 label=partition\n"
                          "wall inner 6.2,5.1 11.9,8.9 label=slanting\n"
                          "wall sealed 13,1 17,1 17,4 13,4 13,1 label=vault\n"
                          "slab sealed 12.9,0.9 17.1,0.9 17.1,4.1 12.9,4.1\n"
                          "door 6.2,2.3 6.2,3.2 material=timber-door\n"
                          "window 8.4,0.4 10.9,0.4\n"
                          "block metal 2.1,6.3 3.4,6.3 3.4,7.6 2.1,7.6 label=\"tank\"\n"
                          "receiver panel 1.2,1.1 at=1.5m radio=hub label=\"Under the <stairs>\"\n"
                          "mount shelf 12.2,4.5 at=2m mains=yes\n"
                          "device near movement 4.3,1.2 at=2m radio=sensor label=\"Near & clear\"\n"
                          "device far smoke 18.1,8.1 at=2m radio=sensor mounting=52dB label=\"Far corner\"\n"
                          "device vault movement 15.1,2.2 at=2m radio=sensor label=\"In the vault\"\n"
                          "device fixed contact 9.1,0.9 at=1m radio=sensor link=wire label=\"Wired already\"\n"
                          "device attack panic 16.2,3.1 at=1m radio=sensor label=\"Button in the vault\"\n"
                          "scene open \"Vault open\" swap=sealed:inner\n";

enum { ROWS = 36, COLUMNS = 76 };

static char *without_lines(const char *text, const char *without)
{
    char *made = calloc(strlen(text) + 1, 1), *to = made;
    assert_non_null(made);
    while (*text) {
        const size_t n = strcspn(text, "\n") + 1;
        const char *found = without ? strstr(text, without) : NULL;
        if (!found || found >= text + n) {
            memcpy(to, text, n);
            to += n;
        }
        text += n;
    }
    return made;
}

/* A hill around the receiver that falls to -20 dB. */
static void fill_grid(scene *s)
{
    earshot_grid *g = &s->grid;
    *g = (earshot_grid){.x0_m = 0.2, .cell_x_m = 0.25, .cell_y_m = 0.25, .rows = ROWS, .columns = COLUMNS, .z_m = 1.5};
    g->y0_m = 0.15;
    g->margin_db = calloc(ROWS * COLUMNS, sizeof *g->margin_db);
    g->dependable_db = calloc(ROWS * COLUMNS, sizeof *g->dependable_db);
    assert_non_null(g->margin_db);
    assert_non_null(g->dependable_db);
    for (size_t row = 0; row < ROWS; row++) {
        for (size_t column = 0; column < COLUMNS; column++) {
            const double x = g->x0_m + ((double)column + 0.5) * 0.25;
            const double y = g->y0_m + ((double)(ROWS - row) - 0.5) * 0.25;
            g->dependable_db[row * COLUMNS + column] = 55.0 - 4.1 * hypot(x - 1.2, y - 1.1);
        }
    }
}

void scene_new(scene *s, const char *without)
{
    static earshot_findings findings;
    earshot_error error;
    char *text = without_lines(SCENE_PLAN, without);
    *s = (scene){0};
    assert_int_equal(earshot_plan_read(text, strlen(text), "scene", &s->plan, &findings), EARSHOT_OK);
    free(text);
    assert_int_equal(earshot_site_new(s->plan, NULL, &s->site, &error), EARSHOT_OK);
    assert_int_equal(earshot_check_run(s->site, EARSHOT_MODEL_DIRECT, 868.3e6, 0, NULL, &s->check, &error), EARSHOT_OK);
    fill_grid(s);
    s->view = (earshot_map_view){.grid = &s->grid,
                                 .from = earshot_site_receiver_at(s->site, 0),
                                 .from_name = "panel",
                                 .from_label = "Under the <stairs>",
                                 .radio = &s->plan->radio[1],
                                 .frequency_hz = 868.3e6,
                                 .model = EARSHOT_MODEL_DIRECT,
                                 .check = &s->check};
}

void scene_free(scene *s)
{
    earshot_grid_clear(&s->grid);
    earshot_check_clear(&s->check);
    earshot_site_free(s->site);
    earshot_plan_free(s->plan);
}
