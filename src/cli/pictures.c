/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the options to pictures. */
#include <stdlib.h>
#include <string.h>

#include "cli/session.h"

static bool ends_in(const char *path, const char *ending)
{
    const size_t n = strlen(path), m = strlen(ending);
    if (n < m) return false;
    for (size_t i = 0; i < m; i++) {
        const char c = path[n - m + i];
        if ((c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c) != ending[i]) return false;
    }
    return true;
}

cli_exit cli_picture_look(const cli_command *command, const cli_options *options, const char *path,
                          earshot_picture_look *look)
{
    static const struct {
        const char *ending;
        earshot_picture_format format;
    } KNOWN[] = {{".svg", EARSHOT_PICTURE_SVG}, {".png", EARSHOT_PICTURE_PNG}, {".pdf", EARSHOT_PICTURE_PDF}};
    *look = (earshot_picture_look){.language = options->language, .paper = options->paper};
    for (size_t i = 0; i < sizeof KNOWN / sizeof KNOWN[0]; i++) {
        if (!ends_in(path, KNOWN[i].ending)) continue;
        look->format = KNOWN[i].format;
        return earshot_pictures_built_in() ? CLI_OK : cli_picture_outcome(EARSHOT_NOT_BUILT_IN);
    }
    return cli_usage(command, "--picture '%s' ends in neither .svg nor .png nor .pdf", path);
}

cli_exit cli_picture_outcome(earshot_status status)
{
    if (status == EARSHOT_OK) return CLI_OK;
    if (status == EARSHOT_NOT_BUILT_IN)
        cli_complain("build it with cairo and pango installed, and -DEARSHOT_PICTURES=ON",
                     "this program was built without pictures and reports");
    else
        cli_complain(NULL, "%s", earshot_status_text(status));
    return cli_exit_of(status);
}

void cli_views_clear(cli_views *views)
{
    for (size_t i = 0; i < views->n; i++) earshot_grid_clear(&views->grid[i]);
    free(views->grid);
    free(views->view);
    *views = (cli_views){0};
}

/* Storeys with nothing in them have no map. */
static bool is_wanted(const earshot_site *site, const unsigned *only, unsigned storey)
{
    earshot_point low, high;
    return only ? *only == storey : earshot_storey_extent(site, storey, &low, &high);
}

cli_exit cli_views_fill(const cli_session *session, const earshot_check *check, const unsigned *only, cli_views *views)
{
    const size_t most = session->plan->n_storeys;
    cli_origin origin;
    const earshot_radio *radio;
    cli_exit status = cli_find_origin(session, check->site, check->frequency_hz, &origin);
    if (status == CLI_OK) status = cli_find_radio(session, check->site, check->frequency_hz, &origin, &radio);
    if (status != CLI_OK) return status;
    *views = (cli_views){.view = calloc(most + 1, sizeof *views->view), .grid = calloc(most + 1, sizeof *views->grid)};
    if (!views->view || !views->grid) status = cli_picture_outcome(EARSHOT_MEMORY);
    for (unsigned storey = 0; storey < most && status == CLI_OK; storey++) {
        if (!is_wanted(check->site, only, storey)) continue;
        earshot_grid *grid = &views->grid[views->n];
        status = cli_fill_grid(session, check->site, check->frequency_hz, storey, &origin, radio, true, grid);
        if (status != CLI_OK) break;
        views->view[views->n++] = (earshot_map_view){.grid = grid,
                                                     .from = origin.station.at,
                                                     .from_name = origin.name,
                                                     .from_label = origin.label,
                                                     .radio = radio,
                                                     .frequency_hz = check->frequency_hz,
                                                     .model = check->model,
                                                     .check = check};
    }
    if (status != CLI_OK) cli_views_clear(views);
    return status;
}
