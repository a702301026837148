/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "base/text.h"
#include "cli/session.h"

/* --storey, else the storey of the fixed end. */
static cli_exit choose_storey(const cli_session *s, unsigned *storey)
{
    cli_origin origin;
    if (s->options->storey) return cli_find_storey(s, s->options->storey, storey);
    const cli_exit status = cli_find_origin(s, s->site[0], s->band_hz[0], &origin);
    if (status == CLI_OK) *storey = origin.storey;
    return status;
}

static cli_exit add_csv(const cli_session *s, unsigned storey, earshot_text *csv)
{
    cli_origin origin;
    const earshot_radio *radio;
    earshot_grid grid;
    cli_exit status = cli_find_origin(s, s->site[0], s->band_hz[0], &origin);
    if (status == CLI_OK) status = cli_find_radio(s, s->site[0], s->band_hz[0], &origin, &radio);
    if (status == CLI_OK) status = cli_fill_grid(s, s->site[0], s->band_hz[0], storey, &origin, radio, false, &grid);
    if (status != CLI_OK) return status;
    earshot_csv_grid(s->site[0], &grid, csv);
    earshot_grid_clear(&grid);
    return CLI_OK;
}

static cli_exit add_texts(const cli_session *s, unsigned storey, earshot_text *text)
{
    const earshot_look look = cli_look();
    for (size_t i = 0; i < s->n_scenes * s->n_bands; i++) {
        const cli_exit status = cli_add_map(s, s->site[i / s->n_bands], s->band_hz[i % s->n_bands], storey, NULL, text);
        if (status != CLI_OK) return status;
        es_text_add_char(text, '\n');
    }
    earshot_present_cautions(s->plan, &look, text);
    return CLI_OK;
}

/* A PDF has a page for every storey, unless one is asked for. */
static cli_exit add_picture(const cli_session *s, const earshot_picture_look *look, unsigned storey,
                            earshot_text *picture)
{
    earshot_check *check;
    size_t n;
    cli_views views;
    const bool all = look->format == EARSHOT_PICTURE_PDF && !s->options->storey;
    cli_exit status = cli_run_checks(s, &check, &n);
    if (status != CLI_OK) return status;
    status = cli_views_fill(s, &check[0], all ? NULL : &storey, &views);
    if (status == CLI_OK) {
        status = cli_picture_outcome(earshot_picture_map(s->site[0], views.view, views.n, look, picture));
        cli_views_clear(&views);
    }
    cli_checks_free(check, n);
    return status;
}

static cli_exit write_picture(const cli_session *s, unsigned storey)
{
    earshot_picture_look look;
    earshot_text picture = {0};
    cli_exit status = cli_picture_look(&CLI_MAP, s->options, s->options->picture, &look);
    if (status == CLI_OK) status = add_picture(s, &look, storey, &picture);
    if (status == CLI_OK) status = cli_write(s->options->picture, &picture);
    earshot_text_clear(&picture);
    return status;
}

static cli_exit draw(const cli_session *s)
{
    const char *path = s->options->csv;
    unsigned storey = 0;
    earshot_text text = {0}, csv = {0};
    const bool in_words = !path || strcmp(path, "-") != 0;
    cli_exit status = choose_storey(s, &storey);
    if (status == CLI_OK && in_words) status = add_texts(s, storey, &text);
    if (status == CLI_OK && path) status = add_csv(s, storey, &csv);
    if (status == CLI_OK && path) status = cli_write(path, &csv);
    if (status == CLI_OK && s->options->picture) status = write_picture(s, storey);
    if (status == CLI_OK && in_words) status = cli_print(&text);
    earshot_text_clear(&text);
    earshot_text_clear(&csv);
    return status;
}

static cli_exit run(const cli_options *options)
{
    cli_session session;
    cli_exit status = cli_session_start(options, &session);
    if (status != CLI_OK) return status;
    if ((options->csv || options->picture) && session.n_scenes * session.n_bands > 1)
        status =
            cli_usage(&CLI_MAP, "--%s holds one map: choose a --band and a --scene", options->csv ? "csv" : "picture");
    else
        status = draw(&session);
    cli_session_end(&session);
    return status;
}

const cli_command CLI_MAP = {
    .name = "map",
    .summary = "what can be heard where on a storey",
    .operands = "PLAN",
    .least = 1,
    .most = 1,
    .options = "mbstrRFczCpLADTNS",
    .description = "Draws the dependable margin all over a storey for a device that is carried\n"
                   "about there, to the receiver or to a mount. The storey is that of the fixed end\n"
                   "unless --storey says otherwise.",
    .run = run,
};
