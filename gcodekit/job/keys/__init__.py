"""Every key of the job and workshop files, declared once; tables read by what is declared."""
