"""What goes over http: knows requests and answers, and neither a season nor a plan.

`feed` answers with calendar files, `server` listens, `dav` speaks to calendar servers. The only room that
knows a web server, or calls one.
"""
