/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "cli/session.h"

static bool ends_in(const char *path, const char *ending)
{
    const size_t n = strlen(path), m = strlen(ending);
    return n >= m && strcmp(path + n - m, ending) == 0;
}

static cli_exit choose_format(const cli_options *o, earshot_report_format *format)
{
    if (!o->output) return cli_usage(&CLI_REPORT, "say where to with -o FILE.pdf or -o FILE.html");
    *format = ends_in(o->output, ".pdf") ? EARSHOT_REPORT_PDF : EARSHOT_REPORT_HTML;
    if (*format == EARSHOT_REPORT_HTML && !ends_in(o->output, ".html"))
        return cli_usage(&CLI_REPORT, "'%s' ends in neither .pdf nor .html", o->output);
    return earshot_pictures_built_in() ? CLI_OK : cli_picture_outcome(EARSHOT_NOT_BUILT_IN);
}

/* The best arrangement around the receiver that the report is about. */
static cli_exit place(const cli_session *s, earshot_placement *placement)
{
    earshot_error error = {0};
    cli_progress progress;
    cli_progress_start(&progress, "placing");
    const earshot_place_request request = {.site = (const earshot_site *const *)s->site,
                                           .n_sites = 1,
                                           .model = s->options->model,
                                           .frequency_hz = s->band_hz[0],
                                           .receiver = (long)s->receiver,
                                           .spacing_m = 1.0,
                                           .best = 1,
                                           .seconds = isnan(s->options->seconds) ? INFINITY : s->options->seconds,
                                           .watch = &progress.watch};
    const earshot_status status = earshot_place_run(&request, placement, &error);
    cli_progress_end(&progress);
    if (status) cli_report_error(&error, false);
    return cli_exit_of(status);
}

static cli_exit write_report(const cli_session *s, earshot_report_format format, const earshot_check *check, size_t n,
                             const cli_views *views)
{
    const cli_options *o = s->options;
    earshot_text text = {0};
    cli_progress progress;
    earshot_placement placement = {0};
    const cli_exit placed = o->place ? place(s, &placement) : CLI_OK;
    if (placed != CLI_OK) return placed;
    const earshot_report_request request = {.check = check,
                                            .n_checks = n,
                                            .map = views->view,
                                            .n_maps = views->n,
                                            .placement = o->place ? &placement : NULL,
                                            .calibration = s->calibration,
                                            .date = o->date,
                                            .prepared_for = o->prepared_for,
                                            .prepared_by = o->prepared_by,
                                            .format = format,
                                            .language = o->language,
                                            .paper = o->paper};
    cli_progress_start(&progress, "writing");
    const earshot_status status = earshot_report_write(&request, &progress.watch, &text);
    cli_progress_end(&progress);
    earshot_placement_clear(&placement);
    const cli_exit written = cli_picture_outcome(status);
    if (written == CLI_OK) return cli_write(o->output, &text);
    earshot_text_clear(&text);
    return written;
}

static cli_exit report(const cli_session *s, earshot_report_format format)
{
    earshot_check *check;
    size_t n;
    cli_views views;
    cli_exit status = cli_run_checks(s, &check, &n);
    if (status != CLI_OK) return status;
    status = cli_views_fill(s, &check[0], NULL, &views);
    if (status == CLI_OK) {
        status = write_report(s, format, check, n, &views);
        cli_views_clear(&views);
    }
    if (status == CLI_OK) status = check[0].all_direct ? CLI_OK : CLI_LACKING;
    cli_checks_free(check, n);
    return status;
}

/* A report tells what every scene would change, unless one is chosen or readings tie it to one. */
static cli_exit run(const cli_options *options)
{
    cli_session session;
    cli_options all = *options;
    earshot_report_format format = EARSHOT_REPORT_HTML;
    if (!all.scene && !all.readings) all.scene = "all";
    cli_exit status = choose_format(options, &format);
    if (status == CLI_OK) status = cli_session_start(&all, &session);
    if (status != CLI_OK) return status;
    status = report(&session, format);
    cli_session_end(&session);
    return status;
}

const cli_command CLI_REPORT = {
    .name = "report",
    .summary = "a document for the client: PDF or one HTML page",
    .operands = "PLAN",
    .least = 1,
    .most = 1,
    .options = "oLAyYBqembsrRczDTNS",
    .description = "Writes what is proposed and why, for the client to read: a map of every storey,\n"
                   "every device with its verdict, a picture for each that needs a repeater or a\n"
                   "wire, what was assumed and what would change it, and the numbers in an\n"
                   "appendix. The first band is the one proposed; scenes are told of as what-ifs;\n"
                   "--place proposes what 'place' finds best around this receiver.\n"
                   "Exit status is 0 if every device is heard directly, 1 if not.",
    .run = run,
};
