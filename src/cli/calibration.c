/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From readings to a corrected site. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cli/session.h"

static cli_exit no_memory(void)
{
    cli_complain(NULL, "out of memory");
    return CLI_BAD_FAULT;
}

static cli_exit read_readings(cli_session *s, const char *path)
{
    earshot_findings *findings = calloc(1, sizeof *findings);
    if (!findings) return no_memory();
    const earshot_status status = earshot_readings_read_file(path, s->plan, &s->readings, findings);
    cli_keep(path);
    cli_report_findings(findings);
    if (status && findings->n_mistakes == 0) cli_complain(NULL, "%s: %s", path, earshot_status_text(status));
    free(findings);
    return cli_exit_of(status);
}

static bool is_chosen(const cli_session *s, double frequency_hz)
{
    for (size_t i = 0; i < s->n_bands; i++)
        if (s->band_hz[i] == frequency_hz) return true;
    return false;
}

static cli_exit keep_bands(const cli_session *s, const char *path)
{
    size_t kept = 0;
    for (size_t i = 0; i < s->readings->n; i++)
        if (is_chosen(s, s->readings->reading[i].frequency_hz)) s->readings->reading[kept++] = s->readings->reading[i];
    if (kept == 0 && s->readings->n > 0) {
        cli_complain("choose another --band, or all", "%s: no reading is of this band", path);
        return CLI_USAGE;
    }
    s->readings->n = kept;
    return CLI_OK;
}

static earshot_calibrate_options options_of(const cli_options *o)
{
    earshot_calibrate_options made = earshot_calibrate_defaults();
    made.model = o->model;
    made.flat = o->flat;
    made.radio = o->radio;
    if (!isnan(o->tolerance_db)) made.tolerance_db = o->tolerance_db;
    made.noise_db = o->noise_db;
    made.scale_low_dbm = o->scale_low_dbm;
    made.scale_high_dbm = o->scale_high_dbm;
    return made;
}

static cli_exit learn(cli_session *s)
{
    const earshot_calibrate_options options = options_of(s->options);
    earshot_error error = {0};
    cli_progress progress;
    cli_progress_start(&progress, "learning");
    const earshot_status status =
        earshot_calibrate(s->plan, s->scene[0], s->readings, &options, &progress.watch, &s->calibration, &error);
    cli_progress_end(&progress);
    if (!status) return CLI_OK;
    cli_report_error(&error, false);
    return status == EARSHOT_NO_SUCH_NAME ? CLI_BAD_PLAN : cli_exit_of(status);
}

cli_exit cli_calibrate(cli_session *session, const char *path, bool bands)
{
    if (session->n_scenes > 1)
        return cli_usage(NULL, "readings go with one --scene: how the site stood when they were taken");
    cli_exit status = read_readings(session, path);
    if (status == CLI_OK && bands) status = keep_bands(session, path);
    if (status == CLI_OK) status = learn(session);
    if (status != CLI_OK) return status;
    earshot_site_free(session->site[0]);
    session->site[0] = session->calibration->after;
    return CLI_OK;
}
