"""What is served over http: knows requests and answers, and neither a season nor a plan.

`feed` answers with calendar files, `server` listens. The only room that knows a web server.
"""
