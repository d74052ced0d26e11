"""The visit file, meter correction, findings and the report. Imports only patterns."""
