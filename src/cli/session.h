/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A plan that has been read, and what of it the command line chose. */
#ifndef CLI_SESSION_H
#define CLI_SESSION_H

#include "cli/cli.h"

typedef struct cli_session {
    const cli_options *options;
    earshot_plan *plan;
    double band_hz[CLI_MAX_BANDS];
    size_t n_bands;
    const char **scene; /* [n_scenes] NULL: as drawn */
    size_t n_scenes;
    earshot_site **site; /* [n_scenes] */
    size_t receiver;
    earshot_readings *readings;       /* NULL: none */
    earshot_calibration *calibration; /* owns the one site, when there is one */
} cli_session;

/* Read a plan from a file, or "-" from stdin. What is wrong has been reported. */
cli_exit cli_read_plan(const char *path, earshot_plan **plan);
/* Read the plan and look up what the options name. What is wrong has been reported. End with cli_session_end. */
cli_exit cli_session_start(const cli_options *options, cli_session *session);
void cli_session_end(cli_session *session);

/* ---- calibration.c ---- */

/* Read readings and learn from them; bands: whether only those of the bands chosen count. From then on the session's
 * one site is the corrected one. What is wrong has been reported. */
cli_exit cli_calibrate(cli_session *session, const char *path, bool bands);

/* ---- session.c ---- */

/* Checks of every scene and band: [n_scenes][n_bands]. Free with cli_checks_free. */
cli_exit cli_run_checks(const cli_session *session, earshot_check **check, size_t *n_checks);
void cli_checks_free(earshot_check *check, size_t n_checks);
/* Whether all are all_direct. */
cli_exit cli_outcome(const earshot_check *check, size_t n_checks);

/* Index of the option's storey; CLI_USAGE has been reported. */
cli_exit cli_find_storey(const cli_session *session, const char *name, unsigned *storey);
cli_exit cli_find_device(const cli_session *session, const char *name, size_t *device);

/* ---- maps.c ---- */

/* Where the fixed end of a map stands. */
typedef struct cli_origin {
    earshot_station station;
    const char *name, *label;
    unsigned storey;
} cli_origin;

/* The fixed end that --from names (a mount or a receiver), else the receiver. */
cli_exit cli_find_origin(const cli_session *session, const earshot_site *site, double band_hz, cli_origin *origin);
/* The radio that is carried about: --radio, else that of most devices, else that of the origin. */
cli_exit cli_find_radio(const cli_session *session, const earshot_site *site, double band_hz, const cli_origin *origin,
                        const earshot_radio **radio);
/* Compute the grid of one storey, in cells for the terminal or, finer and square, for a picture. Empty storeys and
 * other refusals have been reported. */
cli_exit cli_fill_grid(const cli_session *session, const earshot_site *site, double band_hz, unsigned storey,
                       const cli_origin *origin, const earshot_radio *radio, bool fine, earshot_grid *grid);
/* Append the text map of a storey; check may be NULL. */
cli_exit cli_add_map(const cli_session *session, const earshot_site *site, double band_hz, unsigned storey,
                     const earshot_check *check, earshot_text *text);

/* ---- pictures.c ---- */

/* How the picture named by a path is to be, from its ending. CLI_USAGE has been reported. */
cli_exit cli_picture_look(const cli_command *command, const cli_options *options, const char *path,
                          earshot_picture_look *look);
/* Maps of several storeys, ready to be drawn. */
typedef struct cli_views {
    earshot_map_view *view; /* [n] */
    earshot_grid *grid;     /* [n] that the views show */
    size_t n;
} cli_views;

/* Maps of the storeys that have something in them, or of one (not NULL). Clear with cli_views_clear. */
cli_exit cli_views_fill(const cli_session *session, const earshot_check *check, const unsigned *only, cli_views *views);
void cli_views_clear(cli_views *views);
/* What a call for a picture ended in, said where it is not EARSHOT_OK. */
cli_exit cli_picture_outcome(earshot_status status);

#endif
