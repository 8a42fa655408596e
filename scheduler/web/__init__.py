"""What goes over http: knows requests and answers, and neither a season nor a plan.

`page` answers with pages and takes forms, behind `guard` (where a call comes from), `once` (a form is done
once) and `door` (the passphrase). `feed` answers with calendar files, `server` listens, `dav` speaks to
calendar servers. The only room that knows a web server, or calls one.
"""
