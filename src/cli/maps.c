/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the options to a map of a storey. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cli/session.h"

static const double DEFAULT_HEIGHT_M = 1.5; /* between a door contact's and a movement detector's */
static const double LOW_STOREY = 0.75;      /* share of the height of a storey too low for that */
enum { AROUND_COLUMNS = 8, MOST_ROWS = 50, FINE_CELLS = 20000, FINE_CELLS_RAYS = 6000 };

static const char *post_name(const earshot_plan *plan, size_t i)
{
    return i < plan->n_receivers ? plan->receiver[i].name : plan->mount[i - plan->n_receivers].name;
}

static const char *radio_name(const earshot_plan *plan, size_t i)
{
    return plan->radio[i].name;
}

/* The plan's fault, unless the command line asked for a band of its own. */
static cli_exit no_radio(const cli_session *session, const char *name, const char *radio, double band_hz)
{
    cli_complain("give it a radio of this band, or choose another with --band", "%s: no radio '%s' for %.2f MHz", name,
                 radio ? radio : "", band_hz / 1e6);
    return session->options->n_bands ? CLI_USAGE : CLI_BAD_PLAN;
}

/* ---- where from ---- */

static cli_exit origin_at_receiver(const cli_session *session, const earshot_site *site, size_t receiver,
                                   double band_hz, cli_origin *origin)
{
    const earshot_receiver *r = &earshot_site_plan(site)->receiver[receiver];
    *origin = (cli_origin){.name = r->name, .label = r->label, .storey = r->storey};
    if (earshot_receiver_station(site, receiver, band_hz, &origin->station))
        return no_radio(session, r->name, r->radio, band_hz);
    return CLI_OK;
}

static cli_exit origin_at_mount(const cli_session *session, const earshot_site *site, size_t mount, double band_hz,
                                cli_origin *origin)
{
    const size_t receiver = session->receiver;
    const earshot_plan *plan = earshot_site_plan(site);
    const earshot_mount *m = &plan->mount[mount];
    *origin = (cli_origin){.name = m->name, .label = m->label, .storey = m->storey};
    if (earshot_mount_station(site, mount, receiver, band_hz, &origin->station))
        return no_radio(session, m->name, m->radio ? m->radio : plan->receiver[receiver].radio, band_hz);
    return CLI_OK;
}

cli_exit cli_find_origin(const cli_session *session, const earshot_site *site, double band_hz, cli_origin *origin)
{
    const earshot_plan *plan = session->plan;
    const char *name = session->options->from;
    const size_t n = plan->n_receivers + plan->n_mounts;
    if (!name) return origin_at_receiver(session, site, session->receiver, band_hz, origin);
    for (size_t i = 0; i < n; i++) {
        if (strcmp(post_name(plan, i), name) != 0) continue;
        if (i < plan->n_receivers) return origin_at_receiver(session, site, i, band_hz, origin);
        return origin_at_mount(session, site, i - plan->n_receivers, band_hz, origin);
    }
    return cli_no_such_name("receiver or mount", name, plan, post_name, n);
}

/* ---- which radio ---- */

/* The radio that most devices have; of equals the one that comes first in the plan. NULL: there are no devices. */
static const char *commonest_radio(const earshot_plan *plan)
{
    const char *best = NULL;
    size_t most = 0;
    for (size_t i = 0; i < plan->n_radios; i++) {
        size_t n = 0;
        for (size_t d = 0; d < plan->n_devices; d++)
            n += plan->device[d].radio && strcmp(plan->device[d].radio, plan->radio[i].name) == 0;
        if (n <= most) continue;
        most = n;
        best = plan->radio[i].name;
    }
    return best;
}

cli_exit cli_find_radio(const cli_session *session, const earshot_site *site, double band_hz, const cli_origin *origin,
                        const earshot_radio **radio)
{
    const earshot_plan *plan = session->plan;
    const char *name = session->options->radio;
    bool known = false;
    if (!name) name = commonest_radio(plan);
    if (!name) name = origin->station.radio->name;
    for (size_t i = 0; i < plan->n_radios; i++) known |= strcmp(plan->radio[i].name, name) == 0;
    if (!known) return cli_no_such_name("radio", name, plan, radio_name, plan->n_radios);
    *radio = earshot_site_radio(site, name, band_hz);
    return *radio ? CLI_OK : no_radio(session, "map", name, band_hz);
}

/* ---- the grid ---- */

/* The smallest round cell with which the storey fits the width, and is not longer than a person will scroll. */
static double fitting_cell_m(earshot_point low, earshot_point high, unsigned width)
{
    static const double CELL_M[] = {0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5,  0.6,  0.8,  1.0,  1.25, 1.5,  2.0,
                                    2.5, 3.0,  4.0, 5.0,  6.0, 8.0, 10.0, 15.0, 20.0, 30.0, 50.0, 100.0};
    const size_t n = sizeof CELL_M / sizeof CELL_M[0];
    const double columns = (double)width - AROUND_COLUMNS;
    for (size_t i = 0; i < n; i++)
        if ((high.x_m - low.x_m) / CELL_M[i] <= columns && (high.y_m - low.y_m) / CELL_M[i] / 2.0 <= MOST_ROWS)
            return CELL_M[i];
    return CELL_M[n - 1];
}

/* Square cells for a picture: as many as show no steps when interpolated, fewer where each takes long. */
static double fine_cell_m(earshot_point low, earshot_point high, earshot_model model)
{
    const double cells = model == EARSHOT_MODEL_RAYS ? FINE_CELLS_RAYS : FINE_CELLS;
    const double cell_m = sqrt((high.x_m - low.x_m) * (high.y_m - low.y_m) / cells);
    return fmin(fmax(cell_m, 0.05), 100.0);
}

static cli_exit refuse_grid(earshot_status status, const earshot_storey *storey, const earshot_radio *radio,
                            const cli_origin *origin)
{
    if (status != EARSHOT_ARGUMENT) {
        cli_complain(NULL, "%s", earshot_status_text(status));
        return cli_exit_of(status);
    }
    cli_complain("the cells may be too many: try a larger --cell; or one of the radios does not send, or the other "
                 "does not receive",
                 "no map of storey '%s' for radio '%s' from '%s'", storey->name, radio->name, origin->name);
    return CLI_USAGE;
}

cli_exit cli_fill_grid(const cli_session *session, const earshot_site *site, double band_hz, unsigned storey,
                       const cli_origin *origin, const earshot_radio *radio, bool fine, earshot_grid *grid)
{
    const earshot_plan *plan = session->plan;
    const cli_options *o = session->options;
    const earshot_storey *s = &plan->storey[storey];
    earshot_point low, high;
    if (!earshot_storey_extent(site, storey, &low, &high)) {
        cli_complain(NULL, "storey '%s' has nothing in it to draw", s->name);
        return CLI_USAGE;
    }
    const double fitting_m = fine ? fine_cell_m(low, high, o->model) : fitting_cell_m(low, high, cli_look().width);
    const double cell_m = isnan(o->cell_m) ? fitting_m : o->cell_m;
    const double height_m = isnan(o->height_m) ? fmin(DEFAULT_HEIGHT_M, s->height_m * LOW_STOREY) : o->height_m;
    const earshot_grid_request request = {.storey = storey,
                                          .cell_x_m = cell_m,
                                          .cell_y_m = fine ? cell_m : 2.0 * cell_m,
                                          .height_m = height_m,
                                          .radio = radio};
    const earshot_need need = {plan->need_margin_db, plan->need_confidence};
    cli_progress progress;
    cli_progress_start(&progress, "mapping");
    const earshot_status status =
        earshot_grid_fill(site, o->model, band_hz, need, &origin->station, &request, &progress.watch, grid);
    cli_progress_end(&progress);
    return status ? refuse_grid(status, s, radio, origin) : CLI_OK;
}

cli_exit cli_add_map(const cli_session *session, const earshot_site *site, double band_hz, unsigned storey,
                     const earshot_check *check, earshot_text *text)
{
    const earshot_look look = cli_look();
    cli_origin origin;
    const earshot_radio *radio;
    earshot_grid grid;
    cli_exit status = cli_find_origin(session, site, band_hz, &origin);
    if (status == CLI_OK) status = cli_find_radio(session, site, band_hz, &origin, &radio);
    if (status == CLI_OK) status = cli_fill_grid(session, site, band_hz, storey, &origin, radio, false, &grid);
    if (status != CLI_OK) return status;
    const earshot_map_view view = {.grid = &grid,
                                   .from = origin.station.at,
                                   .from_name = origin.name,
                                   .from_label = origin.label,
                                   .radio = radio,
                                   .frequency_hz = band_hz,
                                   .model = session->options->model,
                                   .check = check};
    earshot_present_map(site, &view, &look, text);
    earshot_grid_clear(&grid);
    return CLI_OK;
}
