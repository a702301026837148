/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the options to a plan, its sites and its checks. */
#include "cli/session.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double SAME_BAND_HZ = 2e6; /* --band 868 means the plan's 868.30 MHz */

static cli_exit no_memory(void)
{
    cli_complain(NULL, "out of memory");
    return CLI_BAD_FAULT;
}

/* ---- reading ---- */

/* All of stdin, up to one byte more than a plan may have: the reader then refuses it. */
static char *read_stdin(size_t *size)
{
    enum { MOST = EARSHOT_MAX_TEXT + 1 };
    char *text = malloc(MOST);
    if (text) *size = fread(text, 1, MOST, stdin);
    return text;
}

static earshot_status read_standard_input(earshot_plan **plan, earshot_findings *findings)
{
    size_t size = 0;
    char *text = read_stdin(&size);
    if (!text) return EARSHOT_MEMORY;
    earshot_status status = EARSHOT_FILE_READ;
    if (!ferror(stdin)) status = earshot_plan_read(text, size, "standard input", plan, findings);
    free(text);
    return status;
}

cli_exit cli_read_plan(const char *path, earshot_plan **plan)
{
    earshot_findings *findings = calloc(1, sizeof *findings);
    if (!findings) return no_memory();
    const earshot_status status =
        strcmp(path, "-") == 0 ? read_standard_input(plan, findings) : earshot_plan_read_file(path, plan, findings);
    cli_keep(path);
    cli_report_findings(findings);
    if (status && findings->n_mistakes == 0) cli_complain(NULL, "%s: %s", path, earshot_status_text(status));
    free(findings);
    return cli_exit_of(status);
}

/* ---- names ---- */

static const char *device_name(const earshot_plan *plan, size_t i)
{
    return plan->device[i].name;
}

static const char *storey_name(const earshot_plan *plan, size_t i)
{
    return plan->storey[i].name;
}

static const char *receiver_name(const earshot_plan *plan, size_t i)
{
    return plan->receiver[i].name;
}

static const char *scene_name(const earshot_plan *plan, size_t i)
{
    return plan->scene[i].name;
}

static bool find_name(const earshot_plan *plan, cli_name_at *name_at, size_t n, const char *name, size_t *index)
{
    for (size_t i = 0; i < n; i++) {
        if (strcmp(name_at(plan, i), name) != 0) continue;
        *index = i;
        return true;
    }
    return false;
}

cli_exit cli_find_device(const cli_session *session, const char *name, size_t *device)
{
    const earshot_plan *plan = session->plan;
    if (find_name(plan, device_name, plan->n_devices, name, device)) return CLI_OK;
    return cli_no_such_name("device", name, plan, device_name, plan->n_devices);
}

cli_exit cli_find_storey(const cli_session *session, const char *name, unsigned *storey)
{
    const earshot_plan *plan = session->plan;
    size_t index;
    if (!find_name(plan, storey_name, plan->n_storeys, name, &index))
        return cli_no_such_name("storey", name, plan, storey_name, plan->n_storeys);
    *storey = (unsigned)index;
    return CLI_OK;
}

/* ---- choices ---- */

static cli_exit choose_receiver(cli_session *s)
{
    const char *name = s->options->receiver;
    s->receiver = 0;
    if (s->plan->n_receivers == 0) {
        cli_complain("add one: receiver panel 1.0,2.0 at=1.6m radio=hub", "the plan has no receiver");
        return CLI_BAD_PLAN;
    }
    if (!name || find_name(s->plan, receiver_name, s->plan->n_receivers, name, &s->receiver)) return CLI_OK;
    return cli_no_such_name("receiver", name, s->plan, receiver_name, s->plan->n_receivers);
}

/* The plan's own figure for a band that was asked for in round numbers. */
static double exact_band(const earshot_plan *plan, double asked_hz)
{
    double best_hz = asked_hz, nearest_hz = SAME_BAND_HZ;
    for (size_t i = 0; i < plan->n_bands; i++) {
        const double off_hz = fabs(plan->band_hz[i] - asked_hz);
        if (off_hz > nearest_hz) continue;
        nearest_hz = off_hz;
        best_hz = plan->band_hz[i];
    }
    return best_hz;
}

static void choose_bands(cli_session *s)
{
    const bool asked = s->options->n_bands > 0;
    s->n_bands = asked ? s->options->n_bands : s->plan->n_bands;
    for (size_t i = 0; i < s->n_bands; i++)
        s->band_hz[i] = asked ? exact_band(s->plan, s->options->band_hz[i]) : s->plan->band_hz[i];
}

static cli_exit choose_scenes(cli_session *s)
{
    const char *name = s->options->scene;
    const bool all = name && strcmp(name, "all") == 0;
    const bool none = !name || strcmp(name, "none") == 0;
    size_t one = 0;
    if (!all && !none && !find_name(s->plan, scene_name, s->plan->n_scenes, name, &one))
        return cli_no_such_name("scene", name, s->plan, scene_name, s->plan->n_scenes);
    s->n_scenes = all ? s->plan->n_scenes + 1 : 1;
    s->scene = calloc(s->n_scenes, sizeof *s->scene);
    if (!s->scene) return no_memory();
    if (all)
        for (size_t i = 0; i < s->plan->n_scenes; i++) s->scene[i + 1] = scene_name(s->plan, i);
    else if (!none)
        s->scene[0] = scene_name(s->plan, one);
    return CLI_OK;
}

static cli_exit make_sites(cli_session *s)
{
    s->site = calloc(s->n_scenes, sizeof *s->site);
    if (!s->site) return no_memory();
    for (size_t i = 0; i < s->n_scenes; i++) {
        earshot_error error;
        const earshot_status status = earshot_site_new(s->plan, s->scene[i], &s->site[i], &error);
        if (!status) continue;
        cli_report_error(&error, false);
        return status == EARSHOT_MEMORY ? CLI_BAD_FAULT : CLI_BAD_PLAN;
    }
    return CLI_OK;
}

/* From so many pieces of wall on the rays model makes one wait (docs/limits.md). */
enum { MANY_WALLS = 4000 };

static void warn_of_wait(const cli_session *s)
{
    size_t pieces = 0;
    for (size_t i = 0; i < s->plan->n_walls; i++) pieces += s->plan->wall[i].n_points - 1;
    if (pieces < MANY_WALLS || s->options->model != EARSHOT_MODEL_RAYS) return;
    cli_complain("'--model direct' is quick, and coarser", "the rays model takes its time over %zu pieces of wall",
                 pieces);
}

cli_exit cli_session_start(const cli_options *options, cli_session *session)
{
    *session = (cli_session){.options = options};
    cli_exit status = cli_read_plan(options->plan, &session->plan);
    if (status == CLI_OK) status = choose_receiver(session);
    if (status == CLI_OK) status = choose_scenes(session);
    if (status == CLI_OK) status = make_sites(session);
    if (status == CLI_OK) choose_bands(session);
    if (status == CLI_OK) warn_of_wait(session);
    if (status == CLI_OK && options->readings) status = cli_calibrate(session, options->readings, false);
    if (status != CLI_OK) cli_session_end(session);
    return status;
}

void cli_session_end(cli_session *session)
{
    if (session->calibration) session->site[0] = NULL; /* the calibration's own */
    for (size_t i = 0; session->site && i < session->n_scenes; i++) earshot_site_free(session->site[i]);
    earshot_calibration_free(session->calibration);
    earshot_readings_free(session->readings);
    free(session->site);
    free(session->scene);
    earshot_plan_free(session->plan);
    *session = (cli_session){0};
}

/* ---- checks ---- */

static cli_exit run_check(const cli_session *s, size_t scene, size_t band, earshot_check *check)
{
    earshot_error error = {0};
    cli_progress progress;
    cli_progress_start(&progress, "checking");
    const earshot_status status = earshot_check_run(s->site[scene], s->options->model, s->band_hz[band], s->receiver,
                                                    &progress.watch, check, &error);
    cli_progress_end(&progress);
    if (!status) return CLI_OK;
    cli_report_error(&error, false);
    /* A radio that the plan lacks is the plan's fault, unless the command line asked for a band of its own. */
    const bool plan_fault = status == EARSHOT_NO_SUCH_NAME || status == EARSHOT_ARGUMENT;
    return plan_fault && s->options->n_bands == 0 ? CLI_BAD_PLAN : cli_exit_of(status);
}

cli_exit cli_run_checks(const cli_session *session, earshot_check **check, size_t *n_checks)
{
    const size_t n = session->n_scenes * session->n_bands;
    *n_checks = 0;
    *check = calloc(n, sizeof **check);
    if (!*check) return no_memory();
    cli_exit status = CLI_OK;
    for (size_t i = 0; i < n && status == CLI_OK; i++) {
        status = run_check(session, i / session->n_bands, i % session->n_bands, *check + i);
        if (status == CLI_OK) *n_checks = i + 1;
    }
    if (status == CLI_OK) return CLI_OK;
    cli_checks_free(*check, *n_checks);
    *check = NULL;
    *n_checks = 0;
    return status;
}

void cli_checks_free(earshot_check *check, size_t n_checks)
{
    for (size_t i = 0; i < n_checks; i++) earshot_check_clear(&check[i]);
    free(check);
}

cli_exit cli_outcome(const earshot_check *check, size_t n_checks)
{
    for (size_t i = 0; i < n_checks; i++)
        if (!check[i].all_direct) return CLI_LACKING;
    return CLI_OK;
}
